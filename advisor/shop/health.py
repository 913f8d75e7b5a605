"""What is thin in a shop: nothing of it is an error, each costs an advice."""

from collections import Counter
from pathlib import Path

from ..knowledge.model import Record
from ..knowledge.sources import Content

#: Lines of one kind that are shown.
SHOWN = 12
#: Fields of a car without which no kit can be told to fit it, or no pedal be worked out.
NEEDED = ("spline", "bolt_pattern", "housing_depth", "friction_diameter_max", "release.actuation", "stock.torque")
#: Fields of a kit that decide whether it fits, and are never estimated.
FITTING = ("spline", "bolt_pattern", "pack_depth")


def fitted(record: Record) -> tuple[str, ...]:
    """The cars a record says it fits."""
    cars = record.fields.get("fits", ())
    return cars if isinstance(cars, tuple) else ()


def look_through(content: Content, folder: Path | None) -> list[tuple[str, list[str]]]:
    """Pairs (title, lines) of what is worth a look, in order of weight."""
    kits_of = Counter(name for kit in content.kits for name in fitted(kit))
    about = content.shop
    people = []
    if about is not None and folder is not None:
        people = [f"nobody is named for: {role}" for role in ("lead", "counter") if not about.of_role(role)]
    cars = []
    for car in content.platforms:
        lacking = [name for name in NEEDED if name not in car.fields]
        if lacking:
            cars.append(f"{car.id} lacks {', '.join(lacking)}")
        if "stock.clutch" not in car.fields:
            cars.append(f"{car.id} names no factory clutch, so nobody is told that it is enough")
        if not kits_of[car.id]:
            cars.append(f"{car.id} has no kit for it")
    kits = []
    for kit in content.kits:
        lacking = [name for name in FITTING if name not in kit.fields]
        if lacking:
            kits.append(f"{kit.id} lacks {', '.join(lacking)}, which nobody may guess")
        if not kit.fields.get("fits"):
            kits.append(f"{kit.id} is for no car")
    drafts = sorted((folder / "drafts").glob("*.json")) if folder is not None else []
    return [
        ("House rules", [str(remark) for remark in content.knowledge.remarks if "house rule" in remark.what]),
        ("Worth a look", [str(remark) for remark in content.remarks]),
        ("People", people),
        (
            "Cars",
            cars
            or (
                []
                if content.platforms
                else ["there is none: a case is told by its measures. A list: advisor shop import platforms LIST.csv"]
            ),
        ),
        (
            "Kits",
            kits
            or (
                []
                if content.kits
                else ["there is none: nothing can be sold. A list: advisor shop import kits LIST.csv"]
            ),
        ),
        (
            "Parts",
            []
            if content.parts
            else ["there is none: what must go with a kit has no price. A list: advisor shop import parts LIST.csv"],
        ),
        ("Drafts that no lead has accepted", [path.stem for path in drafts]),
    ]
