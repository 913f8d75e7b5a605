"""The side-by-side benchmark still runs and still finds all engines equal; no time is judged here."""

import pytest

from ..benchmarks.engines import at_once, one_at_a_time


@pytest.mark.needs("durable-rules")
def test_the_benchmark_runs_and_its_engines_agree():
    names = {row["engine"] for row in one_at_a_time(times=2, count=3, rounds=1)}
    assert {"plain", "durable-rules", "clips", "both of ours"} <= names
    assert [row["engine"] for row in at_once(count=20, rounds=1, sample=5)] == ["bulk", "plain", "durable-rules"]
