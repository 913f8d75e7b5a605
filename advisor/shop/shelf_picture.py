"""A catalogue as an SVG drawing: each car a line of torque, each kit a mark on it."""
# ruff: noqa: E501

from xml.sax.saxutils import escape

from .shelf import OfCar

_WIDE, _ROW, _LEFT, _TOP = 860, 34, 190, 56


def picture(cars: list[OfCar]) -> str:
    """An SVG drawing: each car a line of torque, each kit on it a mark: sold, passing but never sold, never passing."""
    most = max((value for car in cars for value in car.capacity.values()), default=100.0) * 1.05
    scale = (_WIDE - _LEFT - 30) / most
    high = _TOP + _ROW * len(cars) + 34
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {high}" font-family="sans-serif" font-size="12"'
        ' role="img" aria-label="What the kits of each car hold, and which of them are sold">',
        f'<rect width="{_WIDE}" height="{high}" fill="white"/>',
        '<text x="10" y="20" font-size="14">Torque held, bedded in, by car</text>',
        '<circle cx="290" cy="15" r="5" fill="#1b5e20"/><text x="300" y="19">sold to some caller</text>',
        '<circle cx="430" cy="15" r="4.5" fill="white" stroke="#1b5e20" stroke-width="1.5"/>'
        '<text x="440" y="19">passes, never sold</text>',
        '<path d="M566 11 l8 8 m0 -8 l-8 8" stroke="#b71c1c" stroke-width="1.5"/><text x="580" y="19">never passes</text>',
        '<rect x="672" y="10" width="16" height="10" fill="#ffe0b2"/><text x="694" y="19">hole</text>',
    ]
    step = next(tick for tick in (50, 100, 200, 500, 1000, 2000) if most / tick <= 12)
    for mark in range(0, int(most) + 1, step):
        at = _LEFT + mark * scale
        parts.append(f'<line x1="{at:.1f}" y1="{_TOP - 12}" x2="{at:.1f}" y2="{high - 30}" stroke="#e0e0e0"/>')
        parts.append(f'<text x="{at:.1f}" y="{high - 12}" text-anchor="middle">{mark}</text>')
    parts.append(f'<text x="{_WIDE - 8}" y="{high - 12}" text-anchor="end">N m</text>')
    for row, car in enumerate(cars):
        y = _TOP + _ROW * row + 8
        for low, top in car.holes():
            parts.append(
                f'<rect x="{_LEFT + low * scale:.1f}" y="{y - 10}" width="{(top - low) * scale:.1f}" height="20" fill="#ffe0b2"/>'
            )
        parts.append(f'<text x="10" y="{y + 4}">{escape(car.car)}</text>')
        parts.append(f'<line x1="{_LEFT}" y1="{y}" x2="{_WIDE - 30}" y2="{y}" stroke="#9e9e9e"/>')
        for kit, capacity in sorted(car.capacity.items()):
            at = _LEFT + capacity * scale
            title = f"<title>{escape(kit)}: {capacity:.0f} N m</title>"
            if car.picked[kit]:
                parts.append(f'<circle cx="{at:.1f}" cy="{y}" r="5" fill="#1b5e20">{title}</circle>')
            elif car.passed[kit]:
                parts.append(
                    f'<circle cx="{at:.1f}" cy="{y}" r="4.5" fill="white" stroke="#1b5e20" stroke-width="1.5">{title}</circle>'
                )
            else:
                parts.append(
                    f'<path d="M{at - 4:.1f} {y - 4} l8 8 m0 -8 l-8 8" stroke="#b71c1c" stroke-width="1.5">{title}</path>'
                )
    return "\n".join([*parts, "</svg>"]) + "\n"
