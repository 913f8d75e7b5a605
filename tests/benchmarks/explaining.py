"""What explaining costs beside deciding: why-not for every kit, why at three depths, changes, all of one case."""

import statistics
import time

from advisor.deciding.advise import advise
from advisor.deciding.changes import smallest_changes
from advisor.deciding.decide import decider_of
from advisor.explaining import sensitivity, why, why_not
from advisor.explaining.view import View
from advisor.knowledge.sources import Sources, read

from ..callers import caller


def cpu(work, repeat=7):
    """Least CPU time of some runs, s."""
    found = []
    for _ in range(repeat):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def tables(smoke=False):
    """Title -> rows."""
    content = read(Sources.chosen(), cache=False)
    decider = decider_of(content)
    rows, count = [], 3 if smoke else 40
    for seed in range(10 * count):
        case = caller(seed, content)
        decision = decider.decide(case)
        if decision.pick is None:
            continue
        made = advise(decider, case)
        decided = cpu(lambda: decider.decide(case))
        # A View remembers what it was asked: a new one each time, its own making included.
        every = cpu(
            lambda: [
                why_not.why_not(view, kit)
                for view in [View(made, content.knowledge, decider.shop)]
                for kit in view.kits
            ]
        )
        views = [View(made, content.knowledge, decider.shop) for _ in range(3)]
        depths = [
            cpu(lambda depth=depth: why.why(View(made, content.knowledge, decider.shop), depth))
            for depth in why.DEPTHS
        ]
        edge = cpu(lambda: sensitivity.sensitivity(views[0], decider, case), 1)
        kit = made["next_down"]["kit"] if made["next_down"] else None
        change = cpu(lambda: smallest_changes(decider, decision, (kit,)), 1) if kit else None
        rows.append((decided, every / decided, [one / decided for one in depths], edge, change))
        if len(rows) == count:
            break
    ratios = sorted(row[1] for row in rows)
    changes = sorted(row[4] for row in rows if row[4] is not None)
    return {
        "why-not for every kit, share of deciding": [
            {
                "cases": len(rows),
                "kits": len(decider.kits),
                "median": f"{statistics.median(ratios):.3f}",
                "largest": f"{ratios[-1]:.3f}",
                "below a tenth": sum(ratio < 0.1 for ratio in ratios),
            }
        ],
        "why, share of deciding (median)": [
            {f"depth {depth}": f"{statistics.median(row[2][depth - 1] for row in rows):.2f}" for depth in why.DEPTHS}
        ],
        "searches, CPU s": [
            {
                "what": "how near the edge",
                "median": f"{statistics.median(row[3] for row in rows):.2f}",
                "largest": f"{max(row[3] for row in rows):.2f}",
            },
            {
                "what": "changes for the gentler kit",
                "median": f"{statistics.median(changes):.2f}",
                "largest": f"{changes[-1]:.2f}",
            },
        ],
    }
