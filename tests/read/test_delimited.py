"""Delimited text: encodings, delimiters, ragged lines, quoted line breaks."""

from __future__ import annotations

import codecs
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.raw import RawSheet
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.delimited import find_delimiter, read_delimited
from dwc_pipeline.read.encoding import decode, fitness

TEXT = "Trap,Observer,Note\nF1,José,it wasn’t closed\nF2,Inés,29 °C – “warm”\n"


def read(folder: Path, content: bytes | str, **options: str) -> RawSheet:
    path = folder / "june.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_delimited(path, "june.csv", **options)


class TestEncoding:
    @pytest.mark.parametrize(
        ("content", "encoding"),
        [
            (TEXT.encode(), "utf-8"),
            (codecs.BOM_UTF8 + TEXT.encode(), "utf-8"),
            (TEXT.encode("utf-16"), "utf-16"),
            (TEXT.encode("utf-16-le"), "utf-16-le"),
            (TEXT.encode("utf-16-be"), "utf-16-be"),
            (b"Trap,n\nF1,2\n", "ascii"),
        ],
    )
    def test_what_leaves_no_doubt_is_not_asked(self, tmp_path, content, encoding):
        sheet = read(tmp_path, content)
        assert sheet.facts["encoding"] == encoding
        assert sheet.found == ()
        assert sheet.value(1, 1) == "Trap"

    @pytest.mark.parametrize("encoding", ["cp1252", "mac_roman"])
    def test_single_byte_text_is_told_by_its_words_and_asked(self, tmp_path, encoding):
        sheet = read(tmp_path, TEXT.encode(encoding))
        assert sheet.facts["encoding"] == encoding
        assert sheet.value(3, 3) == "29 °C – “warm”"
        (found,) = sheet.found
        assert found["rule"] == "encoding-guessed"
        assert "José" in str(found["message"])
        assert str(found["readings"]).split(" | ")[0] == encoding
        assert found["row"] == 2

    @pytest.mark.parametrize(
        "words",
        ["José Núñez", "don’t", "34° 12' N", "±5 m", "Señor — “big” snake", "Müller, Façade", "12 µg", "½ moon"],
    )
    def test_english_and_spanish_field_words_are_told_apart(self, words):
        for right, wrong in (("cp1252", "mac_roman"), ("mac_roman", "cp1252")):
            try:
                content = words.encode(right)
            except UnicodeEncodeError:
                continue  # ½ is not in mac_roman
            assert decode(content, "x").text == words, right
            other = content.decode(wrong, errors="replace")
            assert other == words or fitness(words) > fitness(other)

    def test_bytes_with_one_meaning_in_both_are_not_asked(self, tmp_path):
        assert read(tmp_path, "Note,n\n±5 m,1\n".encode("cp1252")).found == ()

    def test_the_encoding_of_the_survey_file_is_used_without_asking(self, tmp_path):
        sheet = read(tmp_path, TEXT.encode("cp1252"), encoding="cp1252")
        assert (sheet.value(2, 2), sheet.found) == ("José", ())

    def test_bytes_that_do_not_fit_the_given_encoding_stop_the_run(self, tmp_path):
        with pytest.raises(
            UnreadableFile, match=r"june\.csv, line 2: the byte E9 has no meaning in the encoding utf-8"
        ):
            read(tmp_path, TEXT.encode("cp1252"), encoding="utf-8")

    def test_an_unknown_encoding_is_named(self, tmp_path):
        with pytest.raises(UnreadableFile, match="no encoding 'latin-9000'"):
            read(tmp_path, TEXT, encoding="latin-9000")

    def test_bytes_without_a_readable_word_are_refused(self, tmp_path):
        with pytest.raises(UnreadableFile, match="neither cp1252 nor mac_roman"):
            read(tmp_path, "крыса,ящерица,змея\n".encode("cp866") + b"\x81\x8d\x8f\x90\x9d")


class TestDelimiters:
    @pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
    def test_each_of_the_four_is_found(self, tmp_path, delimiter):
        text = "\n".join(
            delimiter.join(row) for row in (["Trap", "Mass", "Note"], ["F1", "12.5", "wet"], ["F2", "9", ""])
        )
        sheet = read(tmp_path, text)
        assert [list(row) for row in sheet.values][1] == ["F1", "12.5", "wet"]

    def test_decimal_commas_between_semicolons_are_a_fact(self, tmp_path):
        sheet = read(tmp_path, "Trap;Mass\nF1;12,5\nF2;9,25\nF3;0,125\n")
        assert sheet.facts["delimiter"] == "semicolon"
        assert sheet.facts["decimal"] == "comma"
        assert sheet.value(2, 2) == "12,5"

    def test_a_text_without_a_delimiter_is_one_column(self):
        assert find_delimiter("alone\nagain\n") == ","

    def test_the_delimiter_of_the_survey_file_is_used(self, tmp_path):
        assert read(tmp_path, "a:b\nc:d\n", delimiter=":").values == [["a", "b"], ["c", "d"]]


class TestLines:
    def test_quoted_line_breaks_and_quotes_stay_in_their_cell(self, tmp_path):
        sheet = read(tmp_path, 'Trap,Note\nF1,"one\ntwo"\nF2,"a ""wet"" one"\n')
        assert sheet.value(2, 2) == "one\ntwo"
        assert sheet.value(3, 2) == 'a "wet" one'
        assert sheet.found == ()

    def test_lines_with_more_or_fewer_fields_are_named(self, tmp_path):
        sheet = read(tmp_path, "Trap,n,Note\nF1,1,a\nF2,1,wet, cold\nF3,1\nF4,2,b\n")
        assert [(each["rule"], each["row"], each["column"], each["value"]) for each in sheet.found] == [
            ("ragged-line", 3, "D", " cold"),
            ("ragged-line", 4, "", ""),
        ]

    def test_titles_and_delimiters_at_the_end_are_not_ragged(self, tmp_path):
        assert read(tmp_path, "Our June\nTrap,n\nF1,1\nF2,2,,\n").found == ()

    def test_spaces_and_invisible_characters_stay_as_typed(self, tmp_path):
        assert read(tmp_path, "Trap,n\n F1\u00a0,\u200b1 \n").values[1] == [" F1\u00a0", "\u200b1 "]

    def test_a_quotation_mark_that_swallows_lines_is_an_error(self, tmp_path):
        lines = "".join(f"F{n},1\n" for n in range(20))
        sheet = read(tmp_path, 'Trap,n\nF0,"1\n' + lines + 'F9,"2\n')
        assert "quotation-mark-not-closed" in {each["rule"] for each in sheet.found}


CELL = st.text(st.characters(codec="utf-8", exclude_characters="\r\0", exclude_categories=("Cs", "Cc")), max_size=8)


@settings(max_examples=60, deadline=None)
@given(
    rows=st.lists(st.lists(CELL, min_size=3, max_size=3), min_size=1, max_size=8), delimiter=st.sampled_from(",;\t|")
)
def test_whatever_is_written_is_read_back(tmp_path_factory, rows, delimiter):
    import csv

    path = tmp_path_factory.mktemp("any") / "x.csv"
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(rows)
    assert read_delimited(path, "x.csv", delimiter=delimiter).values == rows
