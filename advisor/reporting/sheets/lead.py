"""The sheet a lead files: every reason, requirement, kit, assumption, fact and firing, with the pictures."""

from ...explaining.beside import kind_down
from .blocks import Document, bullets, paragraph, pieces, section, table
from .shared import caution_list, foot, head, near_equals
from .kits import kits_table
from .reasons import reasons_tree


def lead(page, pictures):
    """The `Document`."""
    made = page.made
    outcome = {"recommended": "recommended", "need_more_answers": "needs more answers", "no_kit_fits": "no kit fits"}[
        made["outcome"]
    ]
    title = ("Audit of the case: ", page.title(page.pick_id)) if page.pick_id else ("Audit of the case: ", outcome)
    body = [
        _outcome(page, outcome),
        caution_list(page),
        _pictures(page, pictures),
        _reasons(page, pictures),
        _requirements(page),
        _kits(page),
        _setup(page),
        _assumptions(page),
        _facts(page),
        _firings(page),
        _knowledge(page),
    ]
    return Document("lead", pieces(title), head(page), tuple(one for one in body if one), foot(page))


def _outcome(page, outcome):
    made = page.made
    blocks = [paragraph("Outcome: ", outcome, ".", kind="lead")]
    if page.pick_id:
        blocks += [
            paragraph("Pick: ", page.title(page.pick_id), " (", page.name(page.pick_id, "pick", "kit"), ")."),
            bullets(
                [
                    (
                        page.because(page.requirements[one["requirement"]]["rule"]),
                        " In figures: ",
                        page.margin(one, "pick", "because", place),
                    )
                    for place, one in enumerate(made["pick"]["because"])
                ]
            ),
        ]
        given = [page.failure(one, "pick", "given_up", place) for place, one in enumerate(made["pick"]["given_up"])]
        blocks += [paragraph("Given up:"), bullets(given)] if given else [paragraph("Given up: nothing.")]
        if made["next_down"]:
            blocks += [
                paragraph(f"Why not the {kind_down(made['next_down'].get('before_by'))}, ", page.title(made["next_down"]["kit"]), ":"),
                bullets(
                    [
                        page.failure(one, "next_down", "fails", place)
                        for place, one in enumerate(made["next_down"]["fails"])
                    ]
                ),
            ]
    blocks += near_equals(page)
    if made["asks"]:
        blocks += [paragraph("Would settle it:"), bullets([page.question(name) for name in made["asks"]])]
    if made["no_fit"]:
        for place, conflict in enumerate(made["no_fit"]["conflicts"]):
            blocks += [
                paragraph("No kit meets together:"),
                bullets([page.name(name, "no_fit", "conflicts", place, at) for at, name in enumerate(conflict)]),
            ]
    denied = [
        (
            page.label(one["fact"]),
            ": ",
            page.recorded(one["fact"], "denials", place, "answer"),
            " as answered, ",
            page.recorded(one["fact"], "denials", place, "platform"),
            " on file; the answer counts.",
        )
        for place, one in enumerate(made["denials"])
    ]
    if denied:
        blocks += [paragraph("Answers that differ from the car on file:"), bullets(denied)]
    agreed = {
        True: "Two engines derived it and agree.",
        False: "One engine derived it.",
        None: "It is not recorded how many engines derived it.",
    }
    return section("outcome", "Outcome", *blocks, paragraph(agreed[made["made_by"]["engines_agreed"]]))


def _pictures(page, pictures):
    names = ("kits", "torque", "chain", "doubt", "release", "heat") if page.pick_id else ("kits",)
    figures = [pictures[name](page) for name in names if name in pictures]
    figures = [one for one in figures if one is not None]
    return section("pictures", "Pictures", *figures) if figures else None


def _reasons(page, pictures):
    if not page.pick_id:
        return None
    blocks = [pictures["reasons"](page)] if "reasons" in pictures else []
    return section("reasons", "What the pick's reasons stand on", *blocks, reasons_tree(page))


def _requirements(page):
    rows = []
    for place, one in enumerate(page.made["requirements"]):
        level = one["level"] + (", safety" if one["safety"] else "") + (f", {one['concern']}" if one["concern"] else "")
        has = "-"
        if page.pick_id and any(page.field_value(field) not in values for field, values in one["of_kits"].items()):
            has = "asked of other kits"
        elif page.pick_id:
            has = page.figure(one["measure"]) if one["source"] == "figure" else page.field(one["measure"])
        rows.append(
            (
                page.name(one["id"], "requirements", place, "id"),
                page.label(one["measure"]),
                page.needed(one, one["limit"], f"record/requirements/{place}/limit"),
                has,
                level,
                page.name(one["rule"], "requirements", place, "rule"),
            )
        )
    if not rows:
        return None
    return section(
        "requirements",
        "Requirements",
        table("Requirements, and what the pick has", ("id", "measure", "needed", "pick has", "level", "rule"), rows),
    )


def _kits(page):
    if not page.made["kits"]:
        return None
    others = sum(not kit["fits"] for kit in page.made["kits"])
    return section(
        "kits",
        "Kits",
        kits_table(page),
        paragraph("Not for this car by their dimensions: ", page.count(others, "count/kits-that-do-not-fit"), "."),
    )


def _setup(page):
    rows = []
    for kind in ("parts", "measurements", "steps", "bedding_in", "fitted_by"):
        for place, one in enumerate(page.made["setup"][kind]):
            at = ("setup", kind, place)
            rows.append(
                (
                    page.name(one["id"], *at, "id"),
                    kind.replace("_", " "),
                    one["level"],
                    page.name(one["text"], *at, "text"),
                    page.name(one["rule"], *at, "rule"),
                )
            )
    return (
        section(
            "setup",
            "Set-up",
            table("What goes with the pick, and the rule behind it", ("id", "kind", "level", "text", "rule"), rows),
        )
        if rows
        else None
    )


def _assumptions(page):
    rows = []
    for place, one in enumerate(page.made["assumptions"]):
        at = ("assumptions", place)
        ends = [page.recorded(one["fact"], *at, "others", index) for index in range(len(one["others"]))]
        tried = [piece for index, end in enumerate(ends) for piece in ((" or " if index else ""), end)]
        matters = {True: "yes", False: "no"}[one["matters"]]
        rows.append(
            (
                page.label(one["fact"]),
                page.recorded(one["fact"], *at, "value"),
                tried or "-",
                matters,
                "worst taken" if one["worst"] else "assumed",
                page.name(one["basis"], *at, "basis"),
            )
        )
    return (
        section(
            "assumptions",
            "Assumptions",
            table("Assumed, and whether it matters", ("fact", "taken", "also tried", "matters", "kind", "basis"), rows),
        )
        if rows
        else None
    )


def _facts(page):
    rows = []
    for place, one in enumerate(page.made["facts"]):
        producers = []
        for at, number in enumerate(one["producer"]):
            producers += [", " if at else "firing ", page.count(number, f"record/facts/{place}/producer/{at}")]
        rows.append(
            (page.label(one["name"]), page.fact(one["name"]), one["origin"].replace("_", " "), producers or "-")
        )
    return section("facts", "Facts", table("Facts of the case", ("fact", "value", "origin", "from"), rows))


def _firings(page):
    rows = []
    for place, one in enumerate(page.made["firings"]):
        at = ("firings", place)
        read, gives = (
            [
                piece
                for index, name in enumerate(one[kind])
                for piece in ("; " if index else "", page.label(name), " ", page.recorded(name, *at, kind, name))
            ]
            for kind in ("facts", "concluded")
        )
        basis = [one["basis"]["kind"].replace("_", " ")]
        for key in ("source", "caution"):
            if one["basis"][key]:
                basis += ["; ", page.name(one["basis"][key], *at, "basis", key)]
        result = gives or (("nothing: ", page.name(one["reason"], *at, "reason")) if one.get("reason") else "-")
        rows.append(
            (
                page.count(one["id"], f"record/firings/{place}/id"),
                page.name(one["rule"], *at, "rule"),
                read or "-",
                result,
                page.because_of(one, place),
                basis,
            )
        )
    return section(
        "firings",
        "Rules and calculations that fired",
        table(
            "In the order of what they stand on",
            ("firing", "rule or calculation", "read", "gave", "because", "basis"),
            rows,
        ),
    )


def _knowledge(page):
    rows = [
        (name.replace("_sha", " sha").rstrip("0123456789"), page.name(value, "knowledge", name))
        for name, value in sorted(page.made["knowledge"].items())
    ]
    return section("knowledge", "What it was decided with", table("Fingerprints", ("what", "fingerprint"), rows))
