"""One mistake of an author at a time: the error says what is wrong, where and how to mend it."""

import shutil

import pytest

from advisor.errors import AdvisorError
from advisor.knowledge import load
from advisor.knowledge.complaints import complaint_knowledge
from tests import shipped

from .shop import RULES

SHOP = shipped.content().knowledge
MISTAKES = [
    ("complaints/slip.yaml", "cause: [capacity_short,", "cause: [capacity_shrt,", "there is no cause 'capacity_shrt'"),
    ("complaints/slip.yaml", "slip_shows: peak_torque", "slip_shows: peak", "peak_torque"),
    ("complaints/slip.yaml", "slip_shows: peak_torque", "slip_show: peak_torque", "slip_shows"),
    ("complaints/slip.yaml", "points: 6", "points: 7", "points"),
    ("complaints/slip.yaml", "sign: for", "sign: perhaps", "against"),
    ("complaints/slip.yaml", "stage: complaint", "stage: case", "complaint"),
    ("complaints/slip.yaml", "group: slip}", "group: slap}", "one observation is one witness"),
    ("complaints/slip.yaml", "[held_bearing, oil_leak, false_slip]", "[capacity_short, oil_leak]", "argues twice"),
    ("complaints/slip.yaml", "id: slips-at-peak", "id: slips-at-any-load", "used twice"),
    ("complaints/safety.yaml", "safety: yes", "safety: perhaps", "safety"),
    ("complaints/as_sold.yaml", "{release_reserve_mm} of pedal", "{release_reserv} of pedal", "release_reserve_mm"),
    ("causes.yaml", "class: selection", "class: choice", "class"),
    ("causes.yaml", "    capacity_short: 4\n", "    capacity_shirt: 4\n", "capacity_shirt"),
    ("causes.yaml", "\n  leaks:\n", "\n  leakes:\n", "leak"),
    ("symptoms.yaml", "how: told", "how: heard", "how"),
    ("symptoms.yaml", "of: [slips, smell]", "of: [slps, smell]", "slps"),
    ("symptoms.yaml", "  bites:\n", "  pedal_bite:\n", "pedal_bite"),
    ("symptoms.yaml", "minutes: 1\n", "minutes: 0\n", "minutes"),
]


@pytest.mark.parametrize(("file", "right", "wrong", "told"), MISTAKES)
def test_mistake(tmp_path, file, right, wrong, told):
    shutil.copytree(RULES, tmp_path / "rules")
    path = tmp_path / "rules" / file
    text = path.read_text(encoding="utf-8")
    assert right in text
    path.write_text(text.replace(right, wrong, 1), encoding="utf-8")
    with pytest.raises(AdvisorError) as raised:
        complaint_knowledge(tmp_path / "rules", SHOP)
    assert told in str(raised.value), str(raised.value)


def test_order_of_rules_and_files_does_not_change_the_hash(tmp_path):
    shutil.copytree(RULES, tmp_path / "rules")
    (tmp_path / "rules" / "complaints" / "slip.yaml").rename(tmp_path / "rules" / "complaints" / "zz.yaml")
    assert complaint_knowledge(tmp_path / "rules", SHOP).sha256 == complaint_knowledge(RULES, SHOP).sha256


def test_rules_of_the_other_stages_do_not_change():
    """Complaints have a hash of their own: decisions stand on rules_sha256, which does not know of them."""
    assert SHOP.sha256 == load.knowledge(RULES).sha256
    assert not any(rule.stage == "complaint" for rule in SHOP.rules)
