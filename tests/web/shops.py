"""Shops of one's own around the demonstration's lists."""

from pathlib import Path

from advisor.knowledge import rules_in_force
from advisor.knowledge.sources import demonstration


def shop_with(folder, pages):
    """The folder of a shop with these lines under [pages]."""
    shop = folder / "shop"
    shop.mkdir()
    for name in ("kits", "platforms", "parts"):
        (shop / name).symlink_to(demonstration() / name)
    text = (demonstration() / "shop.toml").read_text(encoding="utf-8")
    (shop / "shop.toml").write_text(f"{text}\n[pages]\n{pages}\n", encoding="utf-8")
    return str(shop)


def drafted(shop, name, before, after, rule="pedal-light"):
    """A draft in which a shipped rule of the pedal stands with another limit, as the command line begins one."""
    from advisor.cli import main

    assert main(["rules", "draft", name, "--change", rule, "--shop", str(shop)]) == 0
    path = Path(shop) / "drafts" / name / "case" / "release.yaml"
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")
    return path.parents[1]


def trial_ended(site, draft, code, text):
    """A trial of a draft as it stands that came to its end with this exit code and output; its number."""
    digest, jobs = rules_in_force.digest(rules_in_force.bodies(draft)), site.folders.pages / "jobs"
    jobs.mkdir(exist_ok=True)
    trial = jobs / ("T" * 22)
    for kind, held in (("purpose", f"try {draft.name} {digest}"), ("txt", text), ("code", str(code))):
        trial.with_suffix(f".{kind}").write_text(held)
    return trial.name
