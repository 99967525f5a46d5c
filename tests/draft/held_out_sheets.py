"""Field sheets as different people keep them, made by a script, each column with the field that its writer meant.

All of it is invented. "a|b" means that either field is right, "a|" that leaving the column open is right too; a header
that is not listed must not take effect.
"""
# ruff: noqa: E501 - rows of sheets are as long as they are

from __future__ import annotations

from collections.abc import Callable

Sheets = dict[str, tuple[dict[str, str], dict[str, str]]]
SHEETS: Sheets = {}
SP = ["ASSE", "HOMA", "PHCO", "THRA", "COCO", "SCCO"]


def add(name: str, files: dict[str, str], meant: dict[str, str]) -> None:
    """One case: its files, and the field of each column by header, or by file and header."""
    SHEETS[name] = (files, meant)


def rows(count: int, row: Callable[[int], str]) -> str:
    """Lines of a sheet."""
    return "\n".join(map(row, range(count))) + "\n"


add(
    "us_box_funnel",
    {
        "check.csv": "Check Date,Chk Time,Array #,Trap #,Trap Type,Spp.,Sex (M/F/U),Age,SVL_mm,TL_mm,Wt.(g),Recap?,PIT Tag #,Toe clip,Obs,Comments\n"
        + rows(
            24,
            lambda i: (
                f"{5 + i % 2}/{12 + i % 15}/2022,0{7 + i % 2}:{10 + i},{1 + i % 4},{'FBP'[i % 3]}{1 + i % 8},{['funnel', 'box', 'pitfall'][i % 3]},{SP[i % 6]},{'MFU'[i % 3]},{['AD', 'JUV'][i % 2]},{40 + i},{60 + i},{5 + i / 10},{['N', 'Y'][i % 2]},{'98512001' + str(8088900 + i) if i % 3 else ''},{['LF2-RH4', 'RF1-LH3', ''][i % 3]},JQ,{'tail regrown' if i % 5 == 0 else ''}"
            ),
        )
    },
    {
        "Check Date": "eventDate",
        "Chk Time": "eventTime",
        "Array #": "place",
        "Trap #": "trap",
        "Trap Type": "trap_type",
        "Spp.": "verbatimIdentification",
        "Sex (M/F/U)": "sex",
        "Age": "lifeStage",
        "SVL_mm": "snout_vent_length",
        "TL_mm": "tail_length|total_length",
        "Wt.(g)": "body_mass",
        "Recap?": "capture_status",
        "PIT Tag #": "mark",
        "Toe clip": "second_mark",
        "Obs": "recordedBy",
        "Comments": "occurrenceRemarks",
    },
)

add(
    "pit_book",
    {
        "recaps 2021.csv": "No.,Day,Mo,Yr,Site,PIT,Species,Sex,SVL (mm),Mass (g),New/Recap,Fate,Init.,Notes\n"
        + rows(
            30,
            lambda i: (
                f"{i + 1},{1 + i % 28},{5 + i % 4},2021,P{1 + i % 3},{['3D9.1BF1A2B3' + format(0xC4 + i % 12, '02X')][0]},Heterodon nasicus,{'MF'[i % 2]},{300 + i},{80 + i},{'NR'[i % 2]},released,{['KT', 'LM'][i % 2]},"
            ),
        )
    },
    {
        "No.": "recordNumber",
        "Day": "day",
        "Mo": "month",
        "Yr": "year",
        "Site": "place",
        "PIT": "mark",
        "Species": "verbatimIdentification",
        "Sex": "sex",
        "SVL (mm)": "snout_vent_length",
        "Mass (g)": "body_mass",
        "New/Recap": "capture_status",
        "Fate": "fate",
        "Init.": "recordedBy",
        "Notes": "occurrenceRemarks",
    },
)

add(
    "wide_counts",
    {
        "counts.csv": "date,site,observer,weather,Hyla cinerea,Lithobates sphenocephalus,Acris crepitans,Anaxyrus woodhousii,notes\n"
        + rows(
            14,
            lambda i: (
                f"{i + 3} June 2020,Pond {1 + i % 3},R. Ames,{['clear', 'rain', 'cloudy'][i % 3]},{i % 3},{0 if i % 2 else 2},{i % 5},0,"
            ),
        )
    },
    {
        "date": "eventDate",
        "site": "place",
        "observer": "recordedBy",
        "weather": "sky",
        "notes": "occurrenceRemarks|eventRemarks",
    },
)

add(
    "log_uk",
    {
        "trap log.csv": "Date,Time,Station,Action,No. traps open,Min temp (°C),Max temp (°C),Rainfall (mm),Trap problems,Recorder,Remarks\n"
        + rows(
            18,
            lambda i: (
                f"{12 + i}/05/2023,0{7}:{20 + i},ST{1 + i % 2},{'opened' if i < 2 else 'checked' if i < 16 else 'closed'},{10},{8 + i % 5},{20 + i % 6},{i % 4},{'F3 flooded' if i == 6 else ''},A. Wren,"
            ),
        )
    },
    {
        "Date": "eventDate",
        "Time": "eventTime",
        "Station": "place",
        "Action": "action",
        "No. traps open": "traps_open",
        "Min temp (°C)": "minimum_air_temperature",
        "Max temp (°C)": "maximum_air_temperature",
        "Rainfall (mm)": "rain",
        "Trap problems": "trap_state",
        "Recorder": "recordedBy",
        "Remarks": "eventRemarks",
    },
)

add(
    "road",
    {
        "road runs.csv": "Run #,Date,Route,Start time,End time,Odo start,Odo end,Temp F,Wind mph,Cloud cover,# obs,Crew,Notes\n"
        + rows(
            10,
            lambda i: (
                f"{i + 1},{6 + i % 3}/{2 + i}/2019,{['CR 12', 'CR 40'][i % 2]},20:{30 + i},22:{10 + i},{10000 + i * 40},{10025 + i * 40},{70 + i},{i % 8},{10 * i % 100}%,2,BD & RT,"
            ),
        ),
        "road animals.csv": "Run #,Time,Species,AOR/DOR,Lat,Long,GPS acc m,Sex,Est. length (cm),Notes\n"
        + rows(
            16,
            lambda i: (
                f"{1 + i % 10},21:{10 + i},{['Pituophis catenifer', 'Crotalus viridis'][i % 2]},{['AOR', 'DOR'][i % 2]},{36.5 + i / 1000:.5f},{-99.6 - i / 1000:.5f},{3 + i % 6},{'MFU'[i % 3]},{60 + i},"
            ),
        ),
    },
    {
        "road runs.csv|Run #": "run",
        "Date": "eventDate",
        "Route": "place",
        "Start time": "start_time",
        "End time": "end_time",
        "Odo start": "odometer_start",
        "Odo end": "odometer_end",
        "Temp F": "air_temperature",
        "Wind mph": "wind",
        "Cloud cover": "sky",
        "# obs": "observer_count",
        "Crew": "recordedBy",
        "road runs.csv|Notes": "eventRemarks",
        "road animals.csv|Run #": "run",
        "Time": "eventTime",
        "Species": "verbatimIdentification",
        "AOR/DOR": "vitality",
        "Lat": "verbatimLatitude",
        "Long": "verbatimLongitude",
        "GPS acc m": "gps_accuracy",
        "Sex": "sex",
        "Est. length (cm)": "total_length|",
        "road animals.csv|Notes": "occurrenceRemarks",
    },
)

add(
    "coverboards",
    {
        "coverboards.csv": "Survey date,Grid,Board,Begin,End,# boards,Searchers,Species,N,Age,SVL,Remarks\n"
        + rows(
            15,
            lambda i: (
                f"2022-04-{10 + i},G{1 + i % 3},{1 + i % 20},09:{10 + i},10:{20 + i},20,2,{['Plestiodon obsoletus', 'Scincella lateralis', 'Diadophis punctatus'][i % 3]},{1 + i % 2},{['ad', 'juv'][i % 2]},{50 + i},"
            ),
        )
    },
    {
        "Survey date": "eventDate",
        "Grid": "place",
        "Board": "trap|",
        "Begin": "start_time|eventTime",
        "End": "end_time|",
        "# boards": "covers_turned|",
        "Searchers": "observer_count|",
        "Species": "verbatimIdentification",
        "N": "individualCount",
        "Age": "lifeStage",
        "SVL": "snout_vent_length",
        "Remarks": "occurrenceRemarks",
    },
)

add(
    "spanish",
    {
        "capturas.csv": "Fecha;Hora;Parcela;Trampa;Especie;Sexo;Edad;LHC (mm);Peso (g);Marca;Recaptura;Observador;Observaciones\n"
        + rows(
            20,
            lambda i: (
                f"{12 + i % 15}/05/2021;07:{10 + i};P{1 + i % 4};F{1 + i % 6};{['Aspidoscelis gularis', 'Sceloporus olivaceus'][i % 2]};{['M', 'H'][i % 2]};{['adulto', 'juvenil'][i % 2]};{55 + i},5;{6 + i % 4},{i % 10};{['2-4-9', '1-3-12', ''][i % 3]};{['no', 'sí'][i % 2]};J. Ruiz;"
            ),
        )
    },
    {
        "Fecha": "eventDate",
        "Hora": "eventTime",
        "Parcela": "place",
        "Trampa": "trap",
        "Especie": "verbatimIdentification",
        "Sexo": "sex",
        "Edad": "lifeStage",
        "LHC (mm)": "snout_vent_length",
        "Peso (g)": "body_mass",
        "Marca": "mark",
        "Recaptura": "capture_status",
        "Observador": "recordedBy",
        "Observaciones": "occurrenceRemarks",
    },
)

add(
    "french",
    {
        "releves.csv": "Date;Heure;Station;Piège;Espèce;Sexe;Âge;LMC (mm);Masse (g);Nombre;Observateur;Remarques\n"
        + rows(
            16,
            lambda i: (
                f"{1 + i % 28:02d}/06/2022;08:{10 + i};S{1 + i % 3};{1 + i % 9};{['Lacerta bilineata', 'Vipera aspis', 'Zamenis longissimus'][i % 3]};{['M', 'F'][i % 2]};{['adulte', 'juvénile'][i % 2]};{70 + i},5;{9 + i % 5},{i % 10};1;C. Petit;"
            ),
        )
    },
    {
        "Date": "eventDate",
        "Heure": "eventTime",
        "Station": "place",
        "Piège": "trap",
        "Espèce": "verbatimIdentification",
        "Sexe": "sex",
        "Âge": "lifeStage",
        "LMC (mm)": "snout_vent_length",
        "Masse (g)": "body_mass",
        "Nombre": "individualCount",
        "Observateur": "recordedBy",
        "Remarques": "occurrenceRemarks",
    },
)

add(
    "header_two_rows",
    {
        "two rows.csv": "Capture,,Location,,Animal,,,Measurements,,\nDate,Time,Array,Trap,Species,Sex,Age,SVL (mm),Tail (mm),Mass (g)\n"
        + rows(
            15,
            lambda i: (
                f"6/{13 + i % 15}/2023,07:{20 + i},A{1 + i % 3},P{1 + i % 4},{SP[i % 6]},{'MF'[i % 2]},{['A', 'J'][i % 2]},{50 + i},{70 + i},{8 + i % 6}.{i % 10}"
            ),
        )
    },
    {
        "Date": "eventDate",
        "Time": "eventTime",
        "Array": "place",
        "Trap": "trap",
        "Species": "verbatimIdentification",
        "Sex": "sex",
        "Age": "lifeStage",
        "SVL (mm)": "snout_vent_length",
        "Tail (mm)": "tail_length",
        "Mass (g)": "body_mass",
    },
)

add(
    "units_row",
    {
        "units.csv": "Date,Plot,Species,SVL,Mass,Air temp\nm/d/y,,code,mm,g,C\n"
        + rows(14, lambda i: f"7/{14 + i}/2021,{1 + i % 5},{SP[i % 6]},{50 + i},{8 + i % 6}.{i % 10},{22 + i % 9}")
    },
    {
        "Date": "eventDate",
        "Plot": "place",
        "Species": "verbatimIdentification",
        "SVL": "snout_vent_length",
        "Mass": "body_mass",
        "Air temp": "",
    },
)

add(
    "sites",
    {
        "arrays.csv": "Array ID,Type,Easting,Northing,Zone,Datum,Elev (ft),# Box,# Funnel,# Pitfall,Fence length (m),Habitat,Landowner,Installed,Notes\n"
        + rows(
            6,
            lambda i: (
                f"A{i + 1},drift fence,{480000 + i * 311},{4061000 + i * 217},14S,NAD83,{1900 + i * 7},1,8,4,15,mixed grass,Unit {1 + i % 2},3/{20 + i}/2020,"
            ),
        )
    },
    {
        "Array ID": "place",
        "Type": "place_kind",
        "Easting": "easting",
        "Northing": "northing",
        "Zone": "utm_zone",
        "Datum": "datum",
        "Elev (ft)": "elevation",
        "# Box": "box_traps",
        "# Funnel": "funnel_traps",
        "# Pitfall": "pitfall_traps",
        "Fence length (m)": "arm_length",
        "Habitat": "habitat",
        "Landowner": "property",
        "Installed": "",
        "Notes": "locationRemarks",
    },
)

add(
    "turtles",
    {
        "turtles.csv": "Date,Pond,Trap,Sp,Sex,CL (mm),PL mm,Mass_g,Notch code,R/N,Init\n"
        + rows(
            20,
            lambda i: (
                f"{10 + i % 18}-Jun-19,{['North', 'South'][i % 2]},H{1 + i % 6},{['CHPI', 'TRSC', 'STOD'][i % 3]},{'MF'[i % 2]},{120 + i},{110 + i},{400 + i * 3},{['1L-3R', '2L', '10R-11R'][i % 3]},{'RN'[i % 2]},PV"
            ),
        )
    },
    {
        "Date": "eventDate",
        "Pond": "place",
        "Trap": "trap",
        "Sp": "verbatimIdentification",
        "Sex": "sex",
        "CL (mm)": "straight_carapace_length",
        "PL mm": "",
        "Mass_g": "body_mass",
        "Notch code": "mark|",
        "R/N": "capture_status",
        "Init": "recordedBy",
    },
)

add(
    "ticks",
    {
        "ticks.csv": "Date,Array,Trap,Species,Male,Female,Gravid?,Recap,Photo,Released?\n"
        + rows(
            14,
            lambda i: (
                f"5/{14 + i}/2023,A{1 + i % 3},F{1 + i % 4},{SP[i % 6]},{'x' if i % 2 else ''},{'' if i % 2 else 'x'},{'Y' if i % 4 == 0 else 'N'},{'Y' if i % 3 == 0 else 'N'},{'x' if i % 5 == 0 else ''},Y"
            ),
        )
    },
    {
        "Date": "eventDate",
        "Array": "place",
        "Trap": "trap",
        "Species": "verbatimIdentification",
        "Male": "",
        "Female": "",
        "Gravid?": "reproductiveCondition",
        "Recap": "capture_status",
        "Photo": "",
        "Released?": "fate",
    },
)

add(
    "check_grid",
    {
        "sites.csv": "Array,Lat,Lon,Traps\nA1,36.75,-99.63,F1-F4\nA2,36.76,-99.64,F1-F4\nA3,36.77,-99.65,F1-F4\n",
        "grid.csv": "Date,Time,A1,A2,A3,Checked by,Notes\n"
        + rows(
            12,
            lambda i: (
                f"5/{14 + i}/2022,07:{20 + i},{['0', '2 ASSE', 'closed'][i % 3]},{['HOMA', '0', '-'][i % 3]},{['0', '0', 'SCCO'][i % 3]},KM,"
            ),
        ),
    },
    {
        "Array": "place",
        "Lat": "verbatimLatitude",
        "Lon": "verbatimLongitude",
        "Traps": "traps",
        "Date": "eventDate",
        "Time": "eventTime",
        "Checked by": "recordedBy",
        "grid.csv|Notes": "eventRemarks|occurrenceRemarks",
    },
)

add(
    "nights_tn",
    {
        "effort.csv": "Night of,Line,Trap nights,Notes\n"
        + rows(14, lambda i: f"2019-06-{10 + i // 2:02d},L{1 + i % 2},{40 - i % 3},")
    },
    {"Night of": "eventDate", "Line": "place", "Trap nights": "trap_nights_typed", "Notes": "eventRemarks"},
)

add(
    "museum",
    {
        "vouchers.csv": "Field No.,Catalog No.,Genus species,Collector,Date Collected,County,Locality,Prep,Tissue,Lat.,Long.,Sex,SVL\n"
        + rows(
            10,
            lambda i: (
                f"AB {100 + i},OMNH {45000 + i},{['Coluber constrictor', 'Uta stansburiana'][i % 2]},A. Bell,{10 + i} Apr 2017,Woods,5 mi N of Freedom,alcohol,liver,{36.8 + i / 100:.4f},{-99.1 - i / 100:.4f},{'MF'[i % 2]},{60 + i} mm"
            ),
        )
    },
    {
        "Field No.": "recordNumber",
        "Catalog No.": "catalogNumber",
        "Genus species": "verbatimIdentification",
        "Collector": "recordedBy",
        "Date Collected": "eventDate",
        "County": "",
        "Locality": "locality",
        "Prep": "preparations",
        "Tissue": "preparations|",
        "Lat.": "verbatimLatitude",
        "Long.": "verbatimLongitude",
        "Sex": "sex",
        "SVL": "snout_vent_length",
    },
)

add(
    "abbrev",
    {
        "abbrev.csv": "DT,LOC,TRP,TX,SX,AGE,SVL,TAIL,WT,RCP,ID,OBS,RMKS\n"
        + rows(
            22,
            lambda i: (
                f"0{5 + i % 3}/{13 + i % 15}/18,{'ABC'[i % 3]}{1 + i % 2},PF{1 + i % 4},{SP[i % 6]},{'MF'[i % 2]},{'AJ'[i % 2]},{50 + i},{70 + i},{8 + i % 4},{'NY'[i % 2]},{i + 1:03d},XK,"
            ),
        )
    },
    {
        "DT": "eventDate",
        "LOC": "place",
        "TRP": "trap",
        "TX": "verbatimIdentification",
        "SX": "sex",
        "AGE": "lifeStage",
        "SVL": "snout_vent_length",
        "TAIL": "tail_length",
        "WT": "body_mass",
        "RCP": "capture_status",
        "ID": "recordNumber|mark|",
        "OBS": "recordedBy",
        "RMKS": "occurrenceRemarks",
    },
)

add(
    "camel",
    {
        "export.csv": "recordID,eventDate,eventTime,siteCode,trapID,scientificName,individualCount,sex,lifeStage,svlMm,massG,recordedBy,occurrenceRemarks,decimalLatitude,decimalLongitude\n"
        + rows(
            12,
            lambda i: (
                f"{i + 1},2022-05-{10 + i},07:{10 + i},A{1 + i % 3},F{1 + i % 4},Sceloporus consobrinus,1,{['male', 'female'][i % 2]},adult,{50 + i},{8 + i % 4},K. Moe,,{36.7:.4f},{-99.6:.4f}"
            ),
        )
    },
    {
        "recordID": "recordNumber",
        "eventDate": "eventDate",
        "eventTime": "eventTime",
        "siteCode": "place",
        "trapID": "trap",
        "scientificName": "verbatimIdentification",
        "individualCount": "individualCount",
        "sex": "sex",
        "lifeStage": "lifeStage",
        "svlMm": "snout_vent_length",
        "massG": "body_mass",
        "recordedBy": "recordedBy",
        "occurrenceRemarks": "occurrenceRemarks",
        "decimalLatitude": "verbatimLatitude",
        "decimalLongitude": "verbatimLongitude",
    },
)

add(
    "wordy",
    {
        "wordy.csv": "Date of capture,Time trap was checked,Which array?,Bucket or funnel number,Species caught,Sex of animal,Snout-vent length in mm,Weight in grams (bag subtracted),Weight of bag (g),Was it marked before?,Mark given,Condition of tail,What happened to it,Your initials,Anything else\n"
        + rows(
            14,
            lambda i: (
                f"6/{13 + i}/2022,0{7}:{10 + i},A{1 + i % 3},F{1 + i % 5},{SP[i % 6]},{'MF'[i % 2]},{50 + i},{8 + i % 4},{20 + i % 3},{['yes', 'no'][i % 2]},{['2-4', '1-13-16'][i % 2]},{['intact', 'broken', 'regen'][i % 3]},released,QN,"
            ),
        )
    },
    {
        "Date of capture": "eventDate",
        "Time trap was checked": "eventTime",
        "Which array?": "place",
        "Bucket or funnel number": "trap",
        "Species caught": "verbatimIdentification",
        "Sex of animal": "sex",
        "Snout-vent length in mm": "snout_vent_length",
        "Weight in grams (bag subtracted)": "body_mass",
        "Weight of bag (g)": "bag_mass",
        "Was it marked before?": "capture_status|",
        "Mark given": "mark",
        "Condition of tail": "tail_condition",
        "What happened to it": "fate|",
        "Your initials": "recordedBy",
        "Anything else": "occurrenceRemarks|",
    },
)


add(
    "no_header",
    {
        "noheader.csv": rows(
            16,
            lambda i: (
                f"2020-05-{10 + i},A{1 + i % 3},F{1 + i % 6},Aspidoscelis sexlineatus,{'MF'[i % 2]},{60 + i},{8 + i % 4}.{i % 10}"
            ),
        )
    },
    {},
)
