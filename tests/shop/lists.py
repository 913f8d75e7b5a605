# ruff: noqa: E501
"""Lists of the same three kits as twelve suppliers might send them, and what each must come to."""

import io

from openpyxl import Workbook

#: id -> what every list must come to, in the fields' own units.
KITS = {
    "dx-240-4": dict(discs=1.0, facing="organic", disc_form="full_face", hub="sprung", action="push", outer_diameter=240.0, inner_diameter=160.0, clamp_load=7700.0, price=1389.5, stock=3.0),
    "dx-240-5": dict(discs=2.0, facing="ceramic", disc_form="paddle", hub="solid", action="pull", outer_diameter=240.0, inner_diameter=165.0, clamp_load=12250.0, price=2450.0, stock=0.0),
    "dx-215-1": dict(discs=1.0, facing="aramid", disc_form="full_face", hub="sprung", action="push", outer_diameter=215.0, inner_diameter=145.0, clamp_load=6100.0, price=389.0, stock=12.0),
}  # fmt: skip
#: What no list says and the shop says for all.
SAME = {"spline": "23 x 26 mm", "cushion_travel": "0.6 mm"}

PLAIN = """id,title,fits,discs,facing,disc form,hub,action,outer diameter [mm],inner diameter [mm],clamp load [N],price,stock
dx-240-4,DX 240 single,bramble-20t,1,organic,full_face,sprung,push,240,160,7700,1389.50,3
dx-240-5,DX 240 twin,bramble-20t,2,ceramic,paddle,solid,pull,240,165,12250,2450.00,0
dx-215-1,DX 215 single,sedge-18,1,aramid,full_face,sprung,push,215,145,6100,389.00,12
"""
GERMAN = """Preisliste 2026;;;;;;;;;;;;
gültig ab März;;;;;;;;;;;;
;;;;;;;;;;;;
Artikel-Nr.;Bezeichnung;Fahrzeug;Anzahl Scheiben;Belag;Form;Nabe;Betätigung;Durchmesser (mm);Innendurchmesser (mm);Klemmkraft (N);Preis;Bestand
DX 240/4;DX 240 einfach;bramble-20t;1;organisch;voll;gefedert;gedrückt;240;160;7.700,0;1.389,50 €;3
DX 240/5;DX 240 doppel;bramble-20t;2;Keramik;Pads;starr;gezogen;240;165;12.250,0;2.450,00 €;0
DX 215/1;DX 215 einfach;sedge-18;1;Aramid;voll;gefedert;gedrückt;215;145;6.100,0;389,00 €;12
Summe;;;;;;;;;;;4.228,50 €;15
"""
UNIT_ROW = """Part No.\tDescription\tApplication\tPlates\tMaterial\tShape\tCentre\tPush/Pull\tOD\tInner Diameter\tClamp\tRetail\tQty
\t\t\t\t\t\t\t\tmm\tmm\tkN\t\t
DX-240-4\tDX 240 single\tbramble-20t\tsingle\tstandard\tfull\tsprung\tpush type\t240\t160\t7.7\t1,389.50\t3
DX-240-5\tDX 240 twin\tbramble-20t\ttwin\tcerametallic\tpaddle\tsolid\tpull type\t240\t165\t12.25\t2,450.00\t0
DX-215-1\tDX 215 single\tsedge-18\tsingle\taramid fibre\tfull\tsprung\tpush type\t215\t145\t6.1\t389.00\t12
"""
INCHES = """SKU,Product,Vehicle,Number of discs,Friction material,Disc type,Damper,Release type,Diameter in mm,Inner diameter,Clamping force [lbf],List price,On hand
DX 240 4,DX 240 single,Bramble 2.0 turbo hatchback,1,organic,full face,sprung,push,240,6.299212598 in,1731.028862,$1389.50,3
DX 240 5,DX 240 twin,Bramble 2.0 turbo hatchback,2,ceramic,pucks,rigid,pull,240,6.496062992 in,2753.909554,$2450,0
DX 215 1,DX 215 single,sedge-18,1,aramid,full face,sprung,push,215,5.708661417 in,1371.334553,$389,12
"""
UNITS_IN_CELLS = """id;title;fits;discs;facing;form;hub;action;diameter;inner diameter;clamp load;price;stock
dx-240-4;DX 240 single;bramble-20t;1;organic;full;sprung;push;240 mm;16 cm;7.7 kN;EUR 1389.50;3
dx-240-5;DX 240 twin;bramble-20t;2;ceramic;paddles;solid;pull;240 mm;165 mm;12250 N;EUR 2450.00;0
dx-215-1;DX 215 single;sedge-18;1;aramid;full;sprung;push;215mm;145mm;6100N;EUR 389.00;12
"""
FRENCH = """Référence;Désignation;Véhicule;Nombre de disques;Garniture;Forme;Moyeu;Action;Diamètre mm;Diamètre intérieur mm;Charge de serrage N;Prix;Quantité
DX 240 4;DX 240 simple;bramble-20t;1;organique;complet;amorti;poussé;240;160;7\u202f700;1\u202f389,50 €;3
DX 240 5;DX 240 double;bramble-20t;2;céramique;patins;rigide;tiré;240;165;12\u202f250;2\u202f450,00 €;0
DX 215 1;DX 215 simple;sedge-18;1;aramide;complet;amorti;poussé;215;145;6\u202f100;389,00 €;12
"""
SWISS = """Artikelnummer;Benennung;Fahrzeuge;Scheiben;Reibbelag;Bauform;Nabenart;Ausrückart;Scheibendurchmesser/mm;Innendurchmesser/mm;Anpresskraft/N;VK;Lagerbestand
DX.240.4;DX 240;bramble-20t;1;organisch;voll;mit Torsionsdämpfer;drück;240;160;7'700;CHF 1'389.50;3
DX.240.5;DX 240;bramble-20t;2;Keramik;pad;starr;gezogen;240;165;12'250;CHF 2'450.00;0
DX.215.1;DX 215;sedge-18;1;Aramid;voll;gefedert;gedrückt;215;145;6'100;CHF 389.00;12
"""
REPEATED = """number|name|cars|discs|lining|form|hub|push pull|size mm|facing ID mm|plate load N|net price|available
dx-240-4|DX 240|bramble-20t|1|organic|full|sprung|push|240|160|7700|1389.50|3
Page 1||||||||||1389.50|
number|name|cars|discs|lining|form|hub|push pull|size mm|facing ID mm|plate load N|net price|available

dx-240-5|DX 240|bramble-20t|2|ceramic|paddle|solid|pull|240|165|12250|2450.00|0
dx-215-1|DX 215|sedge-18|1|aramid|full|sprung|push|215|145|6100|389.00|12
Grand total||||||||||4228.50|
"""
DUTCH_QUOTED = '''"Code","Omschrijving","Toepassing","Aantal platen","Voering","Forme","Naaf","Action","Size [cm]","Inside diameter [cm]","Aandrukkracht [kgf]","Prijs","Voorraad"
"DX 240/4","DX 240, ""single""","bramble-20t; sedge-18","1","organic","full","sprung","push","24,0","16,0","785,1814"," 1.389,50","3"
"DX 240/5","DX 240, twin","bramble-20t","2","ceramic","paddle","solid","pull","24,0","16,5","1249,1522"," 2.450,00","n/a"
"DX 215/1","DX 215","sedge-18","1","aramid","full","sprung","push","21,5","14,5","622,0268"," 389,00","12"
'''


def workbook(rows, *, title="Prices", more=()):
    """The bytes of an XLSX."""
    book = Workbook()
    sheet = book.active
    sheet.title = title
    for row in rows:
        sheet.append(row)
    for name, other in more:
        page = book.create_sheet(name)
        for row in other:
            page.append(row)
    body = io.BytesIO()
    book.save(body)
    return body.getvalue()


def as_rows(text, delimiter=","):
    """Rows of a text, numbers as numbers."""
    rows = []
    for line in text.strip().splitlines():
        row = []
        for cell in line.split(delimiter):
            try:
                row.append(float(cell) if "." in cell else int(cell))
            except ValueError:
                row.append(cell or None)
        rows.append(row)
    return rows


#: Name -> (file's ending, bytes, what is said on the command line besides SAME).
TWELVE = {
    "plain": (".csv", PLAIN.encode(), {}),
    "german, old encoding, titles, totals": (".csv", GERMAN.encode("cp1252"), {}),
    "tabs, a row of units, numbers in words": (".tsv", UNIT_ROW.encode(), {}),
    "inches and pounds": (".csv", INCHES.encode("utf-8-sig"), {}),
    "units in cells": (".csv", UNITS_IN_CELLS.encode(), {}),
    "french, narrow blanks": (".csv", FRENCH.encode(), {"decimal": {"": ","}}),
    "swiss apostrophes": (".csv", SWISS.encode("utf-16"), {}),
    "bars, repeated names, pages": (".txt", REPEATED.encode(), {}),
    "quoted, several cars, centimetres": (".csv", DUTCH_QUOTED.encode(), {"left_out": []}),
    "workbook": (".xlsx", workbook([["Our prices"], [], *as_rows(PLAIN)]), {}),
    "workbook of two sheets": (".xlsx", workbook(as_rows(PLAIN), more=[("Terms", [["Net 30 days"]])]), {}),
    "workbook of texts with commas": (".xlsx", workbook([line.split(";") for line in GERMAN.strip().splitlines()]), {}),
}
