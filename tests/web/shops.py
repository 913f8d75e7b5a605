"""Shops of one's own around the demonstration's lists."""

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
