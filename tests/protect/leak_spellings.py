# ruff: noqa: E501 - secrets and files are as long as they are
"""Spellings of one withheld place, one withheld name, a person and an identifier, as people and programs write them.

The place is N1 of the invented season, its name Windmill Draw, on the ranch of Hollis Pike. Reference systems come
from pyproj, codes of places from pygeodesy; neither is used by the scan for them.
"""

from __future__ import annotations

import base64
import html
from urllib.parse import quote

from pygeodesy import geohash, wgrs
from pyproj import Transformer

LATITUDE, LONGITUDE = 36.7512345, -99.6348765


def planar(system: int, datum: int = 4326) -> tuple[float, float]:
    """Easting and northing of the place."""
    east, north = Transformer.from_crs(datum, system, always_xy=True).transform(LONGITUDE, LATITUDE)
    return float(east), float(north)


UTM, UTM27, WEB = planar(32614), planar(26714), planar(3857)
E, N = round(UTM[0]), round(UTM[1])
E27, N27 = round(UTM27[0]), round(UTM27[1])
GRID = f"14S MF {E % 100_000:05} {N % 100_000:05}"
HASH = str(geohash.encode(LATITUDE, LONGITUDE, 9))
FULL_WIDTH = {ord(sign): ord(sign) + 0xFEE0 for sign in map(chr, range(0x21, 0x7F))}


def plus_code_by_division(latitude: float, longitude: float) -> str:
    """Ten digits of an open location code, straight from its definition."""
    signs, left, right, code = "23456789CFGHJMPQRVWX", latitude + 90, longitude + 180, ""
    for step in (20.0, 1.0, 0.05, 0.0025, 0.000125):
        code += signs[int(left / step)] + signs[int(right / step)]
        left, right = left % step, right % step
    return f"{code[:8]}+{code[8:]}"


PLUS = plus_code_by_division(LATITUDE, LONGITUDE)

DECIMAL = [
    *(f"{LATITUDE:.{digits}f}, {LONGITUDE:.{digits}f}" for digits in (7, 6, 5, 4, 3, 2)),
    "36.751 -99.634", "-99.6349 36.7512", "36.7512 99.6349", "36.7512N 99.6349W", "N36.7512 W99.6349",
    "36.7512° N, 99.6349° W", "99.6349W 36.7512N", "lat=36.7512&lon=-99.6349",
    "latitude: 36.7512; longitude: -99.6349", "36,7512; -99,6349", "36,7512 -99,6349", "36·7512 −99·6349",
    "36.7512 −99.6349", "36.7512/-99.6349", "36.7512|-99.6349", "36.7512_-99.6349", "(36.7512;-99.6349)",
    '{"lat":36.7512,"lng":-99.6349}', '{"lat":"36.7512","lng":"-99.6349"}',
    '{"type":"Point","coordinates":[-99.6349,36.7512]}', "POINT(-99.6349 36.7512)", "POINT Z (-99.6349 36.7512 604)",
    "+36.7512-099.6349/", "geo:36.7512,-99.6349", "36.7512000 -99.6349000", "3.67512e1 -9.96349e1",
    "36.7512N99.6349W", "lat36.7512lon-99.6349", "36.7512 degrees north and 99.6349 degrees west",
    "Lat. 36.7512 (WGS84), Long. -99.6349 (WGS84)", "36.7512\t-99.6349", "36.75123449999999 -99.63487650000001",
    "36 .7512 , -99 .6349", "260.3651 36.7512", "36.7512, 260.3651", "0036.7512 -0099.6349", "36.76, -99.62",
    "36.745 -99.64", "36.77 -99.65", "https://example.org/#map=15/36.7512/-99.6349",
    "https://example.org/@36.7512,-99.6349,15z", "https://example.org/?q=36.7512%2C-99.6349",
    "https://example.org/?cx=1&lat%3D36.7512%26lon%3D-99.6349", "lat: 36.7512\nlon: -99.6349", "36.7512", "-99.63488",
    "the latitude is 36.75123", "36.7512 N; the longitude we keep", "-99.6349, near the fence",
    "bbox: -99.6400,36.7480,-99.6300,36.7540",
]  # fmt: skip
SEXAGESIMAL = [
    "36°45'04.4\"N 99°38'05.6\"W", "36 45 04 N 99 38 06 W", "36d45m04s N, 99d38m06s W", "36-45-04N 099-38-06W",
    "364504N 0993806W", "36º45’04” N, 99º38’06” W", "36 deg 45 min 4.4 sec N 99 deg 38 min 5.6 sec W",
    "36 degrees 45 minutes 4 seconds north, 99 degrees 38 minutes 6 seconds west", "36°45′04″N 99°38′06″W",
    "36:45:04.4 -99:38:05.6", "36°45'04,4\"N 99°38'05,6\"W", "N 36° 45' 4\" / W 99° 38' 6\"",
    "99°38'05.6\"W 36°45'04.4\"N", "36.45.04N 99.38.06W", "36°45'04''N 99°38'06''W", "36˚ 45ʹ 04ʺ N 99˚ 38ʹ 06ʺ W",
    "(36, 45, 4.4) (99, 38, 5.6)", "36/1, 45/1, 44/10; 99/1, 38/1, 56/10", "36_45_04_N_99_38_06_W",
    "36° 45.074' N, 99° 38.093' W", "N36 45.074 W99 38.093", "3645.0741,N,09938.0926,W", "36-45.074N 099-38.093W",
    "36 45,074 N; 99 38,093 W", "36º45.07' 99º38.09'", "36:45.074N 99:38.093W", "N 36° 45,1' W 99° 38,1'",
    "36 45 N 99 38 W", "$GPGGA,123519,3645.0741,N,09938.0926,W,1,08,0.9,604.0,M,,*47", "+364504.4-0993805.6/",
    "+3645.074-09938.093/", "36°45'04.4\"N", "99° 38' 05.59\" W", "N36 45.0741", "DMS 36 45 04.44 -99 38 05.56",
    "36&deg;45&#39;04.4&quot;N 99&deg;38&#39;05.6&quot;W", "36°45'N 99°38'W", "36*45'04\"N 99*38'06\"W",
    "Lat 36o45'04\" Long 99o38'06\"", "36°45'4.4\"N-99°38'5.6\"W", "W099°38.093′ N36°45.074′",
    "latitude 36 degs 45 mins 4 secs; longitude 99 degs 38 mins 6 secs", "36°45'04.4\"N\n99°38'05.6\"W",
    "N 364504 W 993806", "364504.4 -993805.6", "36.450444 -99.380556",
]  # fmt: skip
PLANAR = [
    f"14S {E} {N}", f"{E} E {N} N", f"{E}mE {N}mN", f"0{E} {N}", f"E{E} N{N}", f"{E:,} {N:,}",
    f"{E:,} / {N:,}".replace(",", " "), f"{UTM[0] / 1000:.2f} {UTM[1] / 1000:.2f} km", f"NAD27 {E27} {N27}",
    f"{UTM[0]:.2f}, {UTM[1]:.2f}", f"N {N} E {E}", f"easting {E // 100}00 northing {N // 100}00", f"x={E};y={N}",
    f"{E}E{N}N", f"{E:,} {N:,}".replace(",", "."), f"{E}m {N}m", f"zone 14, {E}/{N}", f"UTM 14S E: {E} N: {N}",
    f'{{"easting": {E}, "northing": {N}}}', f"northing {N}", f"{N} mN", f"{round(WEB[0])} {round(WEB[1])}",
    f"POINT({WEB[0]:.3f} {WEB[1]:.3f})", f"{E:,} {N:,}".replace(",", "'"), f"{E}.0000 {N}.0000",
    f"{UTM[0]:.3e} {UTM[1]:.5e}", f"EPSG:32614;POINT({UTM[0]:.1f} {UTM[1]:.1f})",
    f"0{E}E\n{N}N", f"Easting {str(E)[:3]}{str(E)[3:]} Northing {str(N)[:4]} {str(N)[4:]}",
    f"{planar(32613)[0]:.0f} {planar(32613)[1]:.0f}", f"{planar(5070)[0]:.0f} {planar(5070)[1]:.0f}",
]  # fmt: skip
CODES = [
    GRID.replace(" ", ""), GRID, GRID.lower(), GRID[4:], GRID.replace(" ", "")[:3] + "MF" + f"{E % 100000:05}"[:3]
    + f"{N % 100000:05}"[:3], f"14S MF {str(E)[1:3]} {str(N)[2:4]}", f"MF {str(E)[1:5]} {str(N)[2:6]}",
    f"14SMF-{str(E)[1:]}-{str(N)[2:]}", PLUS, PLUS.lower(), PLUS[:9], PLUS[4:], HASH, HASH[:7], HASH.upper(),
    f"geohash:{HASH[:6]}", f"https://example.org/{HASH}", f"point-{HASH}.txt",
    "T27N R25W Sec. 12", "T. 27 N., R. 25 W.", "NW1/4 of section 12, township 27 north, range 25 west",
    "S12-T27N-R25W", "27N 25W sec 12", "SW NE Sec 12 T27N R25W", "///windy.lizard.fence",
    "https://maps.example.org/place", "https://example.org/maps/p123", "geo:0,0?q=x",
    str(wgrs.encode(LATITUDE, LONGITUDE, 4)), "EM06er38", "em06er38XX",
]  # fmt: skip
WORDS = [
    "Windmill Draw", "WINDMILL DRAW", "windmill draw", "Windmill-Draw", "windmill_draw", "WindmillDraw", "windmilldraw",
    "Windmill  Draw", "Windmill\u00a0Draw", "Windmill\nDraw", "Windmill Draws", "Windmill Draw's", "Windmíll Dräw",
    "Windmill\u2011Draw", "Wind\u00admill Draw", "Wind\u200bmill Dr\u200daw", "W i n d m i l l  D r a w",
    "W.i.n.d.m.i.l.l. D.r.a.w", "Windmіll Drаw", "Wіndmill Draw", "Ｗｉｎｄｍｉｌｌ Ｄｒａｗ", "𝐖𝐢𝐧𝐝𝐦𝐢𝐥𝐥 𝐃𝐫𝐚𝐰",
    "Ⓦⓘⓝⓓⓜⓘⓛⓛ Ⓓⓡⓐⓦ", "ᴡɪɴᴅᴍɪʟʟ ᴅʀᴀᴡ", "Windmill%20Draw", "Windmill+Draw", "%57indmill%2520Draw", "&#87;indmill &#x44;raw",
    "&amp;#87;indmill Draw", "\\u0057indmill Draw", "\\x57indmill Draw", "Windmill\\nDraw", "Windmill, Draw", "Windmill (Draw)",
    "Windmill/Draw", "Windmill|Draw", "Windmill.Draw", "near WindmillDraw2031.csv", "the Windmill-Draw-array",
    "Windmi11 Draw", "W1ndmill Draw", "Wind-\nmill Draw", "Wind mill Draw", "Wind-mill Draw", "Draw, Windmill",
    "=?utf-8?B?" + base64.b64encode(b"Windmill Draw").decode() + "?=", "=?utf-8?Q?Windmill=20Draw?=",
    "Windmill=20Draw", base64.b64encode(b"at Windmill Draw today").decode(), b"at Windmill Draw".hex(),
    base64.urlsafe_b64encode(b"site: Windmill Draw, gate 2").decode().rstrip("="),
    base64.b64encode(b"36.7512, -99.6349 WGS84").decode(), quote(quote("Windmill Draw")), html.escape("Windmill&nbsp;Draw"),
    "Windmil Draw", "Windmill Drawe", "Windmll Draw", "Windmill\tDraw",
]  # fmt: skip
PEOPLE = [
    "Hollis Pike", "Pike, Hollis", "H. Pike", "HOLLIS PIKE", "Hollis Pike's gate", "H Pike", "Pike H.", "Mr Hollis Pike",
    "hollis.pike@example.org", "hollis_pike", "HollisPike", "Hollis J. Pike", "Ada Example", "A. Example", "Example, A.",
    "Ada Examples", "ada@example.org", "ADA@EXAMPLE.ORG", "ada (at) example.org", "ada [at] example [dot] org",
    "ada%40example.org", "mailto:ada@example.org", "Bo Sample", "B. Sample", "Sample, Bo", "obs.: Bo Sample", "Windmill Ranch",
    "the Windmill ranch", "WindmillRanch", "windmill-ranch", "leg. B. Sample", "A.Example", "Example A",
]  # fmt: skip
IDENTIFIERS = [
    "WD-2031-N1-c20310515-1", "WD-2031-N1-c20310515-1-F1-0", "wd-2031-n1-c20310515-1", "WD 2031 N1 c20310515 1",
    "WD_2031_N1_c20310515_1", "WD-N1", "locationID=WD-N1", "F-N1-15", "f n1 15", "WD-animal-3", "900118001234567",
    "900 118 001 234 567", "900-118-001234567", "PIT 900118001234567 scanned", "9001 1800 1234 567", "900.118001234567",
    "urn:x:WD-2031-N1-c20310515-1", "https://example.org/WD-2031-N1-c20310515-1", "WD-2031-N1", "WD2031N1c203105151",
    "WD%2D2031%2DN1%2Dc20310515%2D1", "array N1", "Site N1", "at place N1", "N1 array", "trap array Q9", "station P7",
    "arrays N1 and N2", "sites N1-N2", "locality code N1", "plot #N1",
]  # fmt: skip
EVERY_SPELLING = [
    *DECIMAL,
    *(text.translate(FULL_WIDTH) for text in ("36.7512, -99.6349", "36°45'04.4\"N 99°38'05.6\"W", f"{E} {N}")),
    "٣٦٫٧٥١٢ ٩٩٫٦٣٤٩", "36.7512\u200b, -99.\u200b6349", "３６.7512 -９９.6349", "36.⁷512 -99.6349",
    *SEXAGESIMAL,
    *PLANAR,
    *CODES,
    *WORDS,
    *PEOPLE,
    *IDENTIFIERS,
]  # fmt: skip
