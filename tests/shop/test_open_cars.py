"""Cars from public tables: invented rows in the published column layouts, drafts with their source, accepted by a lead."""
# ruff: noqa: E501

import json

import pytest

from advisor.cli import main
from advisor.errors import InputError
from advisor.knowledge import load, quantities
from advisor.knowledge.records import record_fields
from advisor.shop import open_cars

#: Headers as read in public copies (European Environment Agency 2025; US test-car list); the rows are invented.
EU = """ID,MS,Mp,VFN,Mh,Man,MMS,TAN,T,Va,Ve,Mk,Cn,Ct,Cr,M (kg),Mt,Enedc (g/km),Ewltp (g/km),W (mm),At1 (mm),At2 (mm),Ft,Fm,Ec (cm3),Ep (KW),Z (Wh/km),IT,Ernedc (g/km),Erwltp (g/km),De,Vf,R,Year,Status,Version_file,E (g/km),Er (g/km),Zr,Dr,Fc,Ech,RLFI
1,XX,,IP-BRM-1,Invented Works,Invented Works,,e0*2018/858*00001*00,BR,B2T,B2T6,BRAMBLE,2.0 T,M1,M1,1395,1490,,152,2640,1540,1545,PETROL,M,1984,162,,,,,,,1,2025,P,v0,,,,2025-03-01,6.7,,
2,XX,,IP-TNS-2,Invented Works,Invented Works,,e0*2018/858*00002*00,TD,D20,D206,TANSY,2.0 D,M1,M1,1610,,,,2740,,,diesel,M,1968,110,,,,,,,1,2025,P,v0,,,,,,,
3,XX,,IP-EL-3,Invented Works,Invented Works,,e0*2018/858*00003*00,EL,E1,E11,HAZEL,E,M1,M1,1890,1990,,0,2800,,,ELECTRIC,E,,150,155,,,,,,1,2025,P,v0,,,,,,,
4,XX,,IP-BRM-1,Invented Works,Invented Works,,e0*2018/858*00001*00,BR,B2T,B2T6,BRAMBLE,2.0 T,M1,M1,1405,1490,,152,2640,1540,1545,PETROL,M,1984,162,,,,,,,1,2025,P,v0,,,,2025-03-01,6.7,,
"""
US = """Model Year,Vehicle Manufacturer Name,Veh Mfr Code,Represented Test Veh Make,Represented Test Veh Model,Test Vehicle ID,Test Veh Configuration #,Test Veh Displacement (L),Actual Tested Testgroup,Vehicle Type,Rated Horsepower,# of Cylinders and Rotors,Engine Code,Tested Transmission Type Code,Tested Transmission Type,# of Gears,Transmission Lockup?,Drive System Code,Drive System Description,Transmission Overdrive Code,Transmission Overdrive Desc,Equivalent Test Weight (lbs.),Axle Ratio,N/V Ratio
2025,Invented Works,INV,Invented,Bramble 2.0 T,IW-0001,0,1.984,IWGT00001,Car,217,4,B2T,M,Manual,6,N,F,"2-Wheel Drive, Front",1,Top gear ratio < 1,3375,3.65,36.0
2025,Invented Works,INV,Invented,Hornbeam 5.0,IW-0002,1,5.0,IWGT00002,Car,435,8,H50,A,Automatic,8,Y,R,"2-Wheel Drive, Rear",2,Top gear ratio < 1,4000,3.55,24.1
"""
NL = """kenteken,merk,handelsbenaming,aantal_cilinders,cilinderinhoud,massa_rijklaar,wielbasis,vermogen_massarijklaar,brandstof_omschrijving,nettomaximumvermogen,typegoedkeuringsnummer,variant,uitvoering
ZZ000Z,BRAMBLE,2.0 T,4,1984,1495,264,0.11,Benzine,162.00,e0,B2T,6
"""


def drafted(tmp_path, text, layout, content):
    path = tmp_path / "table.csv"
    path.write_text(text, encoding="utf-8")
    return open_cars.read_table(path, layout, content.knowledge, "d" * 64)


def values(found, content):
    known = record_fields("platforms", content.knowledge)
    (draft,) = list(found.drafts.values())[:1]
    return {
        path: quantities.read(one["value"] if not one["value"].isdigit() else int(one["value"]), known[path])
        if known[path].kind == "number"
        else one["value"]
        for path, one in draft.fields.items()
    }


def test_european_registrations(tmp_path, content):
    found = drafted(tmp_path, EU, "eu-registrations", content)
    assert list(found.drafts) == ["bramble-2-0-t-br-b2t-b2t6", "tansy-2-0-d-td-d20-d206"] and not found.faults
    assert list(found.refused.values()) == [1] and "no clutch" in next(iter(found.refused))
    told, known = values(found, content), record_fields("platforms", content.knowledge)
    assert quantities.convert(told["mass"], known["mass"].unit, "kg") == 1395
    assert quantities.convert(told["wheelbase"], known["wheelbase"].unit, "mm") == pytest.approx(2640)
    assert told["engine.fuel"] == "petrol" and told["title"] == "2.0 T"
    draft = found.drafts["bramble-2-0-t-br-b2t-b2t6"]
    assert draft.fields["mass"]["raw"] == "1395" and draft.fields["mass"]["row"] == "2"
    assert "CC BY 4.0" in draft.fields["mass"]["licence"] and draft.fields["mass"]["file"] == "d" * 64


def test_test_cars_of_the_united_states(tmp_path, content):
    found = drafted(tmp_path, US, "us-test-cars", content)
    told, known = values(found, content), record_fields("platforms", content.knowledge)
    assert len(found.drafts) == 1 and sum(found.refused.values()) == 1
    # 217 hp of 550 ft lbf/s are 161.8 kW.
    assert quantities.convert(told["stock.power"], known["stock.power"].unit, "kW") == pytest.approx(161.8, abs=0.05)
    assert (told["driven_axle"], told["final_drive"], told["engine.cylinders"]) == ("front", 3.65, 4.0)


#: Invented cars in the terms of schema.org (Car, EngineSpecification, QuantitativeValue); codes of UN/CEFACT's list.
LINKED = {
    "@context": "https://schema.org",
    "@graph": [
        {"@type": "Organization", "name": "Invented Works Used Cars"},
        {
            "@type": "Offer",
            "itemOffered": {
                "@type": ["Product", "Car"],
                "name": "Bramble 2.0 T",
                "brand": {"@type": "Brand", "name": "Invented"},
                "vehicleTransmission": "manual",
                "driveWheelConfiguration": "https://schema.org/FrontWheelDriveConfiguration",
                "weight": {"@type": "QuantitativeValue", "value": 1395, "unitCode": "KGM"},
                "wheelbase": {"value": "264", "unitCode": "CMT"},
                "numberOfForwardGears": 6,
                "vehicleEngine": [
                    {
                        "@type": "EngineSpecification",
                        "fuelType": "Petrol",
                        "engineDisplacement": {"value": 1984, "unitCode": "CMQ"},
                        "enginePower": {"value": 162, "unitCode": "KWT"},
                        "torque": {"value": 350.5, "unitCode": "NU"},
                    }
                ],
            },
        },
        {"@type": "Car", "name": "Hazel E", "brand": "Invented", "vehicleEngine": {"fuelType": "Electric"}},
        {"@type": "Car", "name": "Hornbeam 5.0", "vehicleTransmission": "Automatic", "weight": {"value": 1800}},
    ],
}
#: The same first car as a table of dotted names, its power in horsepower by a text of the unit.
DOTTED = (
    "name,brand.name,weight.value,weight.unitCode,wheelbase.value,wheelbase.unitCode,vehicleEngine.enginePower.value,"
    "vehicleEngine.enginePower.unitText,vehicleEngine.engineDisplacement,fuelType\n"
    "Bramble 2.0 T,Invented,3075.4,LBR,103.937,INH,217.2,hp,1.984 l,Gasoline\n"
)


def in_units(told, content, **wanted):
    """path -> value in a unit."""
    known = record_fields("platforms", content.knowledge)
    return {
        path: round(float(quantities.convert(told[path], known[path].unit, unit)), 2)
        for path, unit in ((name.replace("__", "."), unit) for name, unit in wanted.items())
    }


def test_cars_described_by_the_terms_of_schema_org(tmp_path, content):
    found = drafted(tmp_path, json.dumps(LINKED), "schema-org", content)
    assert list(found.drafts) == ["invented-bramble-2-0-t"] and not found.faults and sum(found.refused.values()) == 2
    told = values(found, content)
    assert (told["driven_axle"], told["engine.fuel"], told["title"]) == ("front", "petrol", "Bramble 2.0 T")
    assert in_units(
        told, content, mass="kg", wheelbase="mm", stock__power="kW", stock__torque="N m", engine__displacement="cm3"
    ) == {"mass": 1395, "wheelbase": 2640, "stock.power": 162, "stock.torque": 350.5, "engine.displacement": 1984}
    draft = found.drafts["invented-bramble-2-0-t"]
    assert draft.fields["stock.power"]["raw"] == "162 kW" and "belong to the page" in draft.fields["mass"]["licence"]


def test_the_same_terms_as_columns_of_a_table(tmp_path, content):
    found = drafted(tmp_path, DOTTED, "schema-org", content)
    assert list(found.drafts) == ["invented-bramble-2-0-t"], found.faults
    told = in_units(values(found, content), content, mass="kg", wheelbase="mm", stock__power="kW")
    # 3075.4 lb, 103.937 in and 217.2 hp by their exact definitions.
    assert told == {"mass": 1394.98, "wheelbase": 2640.0, "stock.power": 161.97}


def car(**said):
    return json.dumps({"@context": "https://schema.org", "@type": "Car", "name": "Tansy 2.0 D", **said})


@pytest.mark.parametrize(
    "text, says",
    [
        (car(weight={"value": 1610}), "has no unit"),
        (car(weight={"value": 1610, "unitCode": "XYZ"}, wheelbase={"value": 2740, "unitCode": "MMT"}), "unit code 'XYZ'"),
        (car(weight={"value": 1610, "unitCode": "KWT"}), "mass"),
        (car(weight={"value": 1610, "unitCode": "KGM"}, fuelType=[{"a": 1, "b": 2, "c": 3}, {"a": 1}]), "of them"),
        ('{"@type": "Car", "name": NaN}', "NaN"),
        ('{"@type": "Car", "name": "a"', "not JSON"),
        ("[" * 100_000, "not JSON"),
        ('{"@type": "Book", "name": "a"}', "no car"),
        ('{"@type": "Car", "weight": {"value": 1610, "unitCode": "KGM"}, "wheelbase": {"value": 2.7, "unitCode": "MTR"}}',
         "names no car"),
        (json.dumps({"@type": "Car", **{f"p{number}": "x" for number in range(999)}}), "999 properties"),
    ],
)  # fmt: skip
def test_what_schema_org_leaves_open_is_asked_and_never_guessed(text, says, tmp_path, content):
    try:
        found = drafted(tmp_path, text, "schema-org", content)
    except InputError as error:
        assert says in str(error)
        return
    assert found.faults and says in " ".join(map(str, found.faults)) and not found.drafts


def test_a_unit_that_a_page_does_not_say_is_said_by_hand(tmp_path, content):
    path = tmp_path / "page.json"
    path.write_text(car(weight={"value": 1610}, wheelbase={"value": 2740}), encoding="utf-8")
    said = {"weight": "kg", "wheelbase": "mm"}
    found = open_cars.read_table(path, "schema-org", content.knowledge, "d" * 64, said)
    assert not found.faults and in_units(values(found, content), content, mass="kg", wheelbase="mm") == {
        "mass": 1610,
        "wheelbase": 2740,
    }


def test_registrations_of_the_netherlands_keep_no_plate(tmp_path, content):
    found = drafted(tmp_path, NL, "nl-registrations", content)
    told, known = values(found, content), record_fields("platforms", content.knowledge)
    # Its wheelbase is in centimetres.
    assert quantities.convert(told["wheelbase"], known["wheelbase"].unit, "mm") == pytest.approx(2640)
    assert "ZZ000Z" not in json.dumps({name: dict(one.fields) for name, one in found.drafts.items()}).upper()


@pytest.mark.parametrize(
    "old, new, says",
    [
        ("1405,1490", "1605,1490", "disagree about mass"),
        ("M1,M1,1610,,,,2740", "M1,M1,1610,,,,4740", "wheelbase"),
        ("1968,110", "1968,610", "kW/l"),
    ],
)
def test_what_no_car_can_be_is_not_drafted(old, new, says, tmp_path, content):
    assert old in EU
    found = drafted(tmp_path, EU.replace(old, new), "eu-registrations", content)
    assert found.faults and says in str(found.faults[0]) and len(found.drafts) == 1


def test_another_table_is_not_taken_for_this_one(tmp_path, content):
    with pytest.raises(InputError, match="not the columns"):
        drafted(tmp_path, "id,title\n1,2\n", "eu-registrations", content)
    with pytest.raises(InputError, match="no layout"):
        drafted(tmp_path, EU, "eu-registration", content)


def test_a_draft_is_accepted_by_a_lead_alone_and_overwrites_nothing(tmp_path, content, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert (
        main(["shop", "new", "s", "--name", "Test Works", "--lead", "Ann Invented", "--counter", "Ben Invented"]) == 0
    )
    (tmp_path / "eu.csv").write_text(EU, encoding="utf-8")
    call = ["shop", "import", "platforms", "eu.csv", "--layout", "eu-registrations", "--shop", "s"]
    assert main(call) == 0
    mark = capsys.readouterr().out.rpartition("--write ")[2].strip()
    assert not (tmp_path / "s/drafts").exists()
    assert main([*call, "--write", mark]) == 0 and main([*call, "--write", mark]) == 0
    assert "0 drafts written" in capsys.readouterr().out
    name = "bramble-2-0-t-br-b2t-b2t6"
    # A draft decides nothing: it is no car on file.
    assert load.platforms(tmp_path / "s/platforms", content.knowledge) == ()
    assert main(["shop", "accept", name, "--by", "Ben Invented", "--shop", "s"]) == 2
    assert main(["shop", "accept", name, "--by", "Ann Invented", "--shop", "s"]) == 0
    (car,) = load.platforms(tmp_path / "s/platforms", content.knowledge)
    assert car.id == name and "accepted by Ann Invented" in car.fields["note"] and "CC BY" in car.fields["note"]
    kept = json.loads((tmp_path / f"s/drafts/accepted/{name}.json").read_text())
    assert kept["by"] == "Ann Invented" and kept["fields"]["mass"]["raw"] == "1395"
    assert main(["shop", "measured", name, "mass=1420 kg", "--shop", "s"]) == 0
    assert (
        main([*call, "--write", mark]) == 0
        and main(["shop", "accept", name, "--by", "Ann Invented", "--shop", "s"]) == 0
    )
    assert "mass: 1420 kg on file, 1395 kg in" in capsys.readouterr().out
