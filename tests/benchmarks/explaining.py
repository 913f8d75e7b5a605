"""What explaining costs beside deciding: why-not for every kit, why at three depths, changes, all of one case."""

import functools
import statistics
import time

from advisor.deciding.advise import advise
from advisor.deciding.decide import decider_of
from advisor.deciding.smallest_changes import smallest_changes
from advisor.explaining import sensitivity, why, why_not
from advisor.explaining.worded import WordedRecord
from advisor.knowledge.sources import Sources, read

from ..callers import caller


def cpu(*works, repeat=7):
    """Least CPU time of some runs of each work, s; the works take turns, so that a busy moment hits them alike."""
    least = [float("inf")] * len(works)
    for _ in range(repeat):
        for place, work in enumerate(works):
            start = time.process_time()
            work()
            least[place] = min(least[place], time.process_time() - start)
    return least if len(least) > 1 else least[0]


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

        def fresh(made=made):
            # It remembers what it was asked: a new one each time, its own making included.
            return WordedRecord(made.data, decider.shop.wording(content.knowledge))

        def every_why_not(fresh=fresh):
            view = fresh()
            return [why_not.why_not(view, kit) for kit in view.kits]

        decided, whole, every, *depths = cpu(
            lambda case=case: decider.decide(case),
            lambda case=case: advise(decider, case),
            every_why_not,
            *(lambda depth=depth, fresh=fresh: why.why(fresh(), depth) for depth in why.DEPTHS),
        )
        edge = cpu(lambda fresh=fresh, case=case: sensitivity.sensitivity(fresh(), decider, case), repeat=1)
        kit = made.next_down.kit if made.next_down else None
        search = functools.partial(smallest_changes, decider, decision, (kit,))
        change = cpu(search, repeat=1) if kit else None
        rows.append((every / whole, every / decided, [one / decided for one in depths], edge, change))
        if len(rows) == count:
            break
    ratios, whole = sorted(row[1] for row in rows), sorted(row[0] for row in rows)
    changes = sorted(row[4] for row in rows if row[4] is not None)
    return {
        "why-not for every kit, share of deciding": [
            {
                "cases": len(rows),
                "kits": len(decider.kits),
                "median": f"{statistics.median(ratios):.3f}",
                "largest": f"{ratios[-1]:.3f}",
                "below a tenth": sum(ratio < 0.1 for ratio in ratios),
                "median of the whole answer": f"{statistics.median(whole):.3f}",
                "largest of the whole answer": f"{whole[-1]:.3f}",
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
