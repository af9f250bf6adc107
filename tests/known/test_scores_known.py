"""The scores that the bench of durations prints, held against scoringrules; its invented shops, tried."""

from datetime import date
from math import log, sqrt
from pathlib import Path

import numpy as np
import pytest
import scoringrules
from scipy import stats

from shoptrack.engine.durations import USUAL, fit, predict, quantile_min
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Log
from tests.bench import baselines, durations, job_totals, past_file, worlds
from tests.bench.scores import LEVELS, Tally, at, crps, inside
from tests.bench.worlds import KINDS, WORLDS, World


@pytest.fixture(scope="module")
def scored() -> Tally:
    """One shop of each world."""
    return durations.foretell_shops(1, 5)


@pytest.fixture
def rng() -> np.random.Generator:
    return np.random.default_rng(3)


def test_crps_is_that_of_scoringrules(rng: np.random.Generator) -> None:
    """Source: scoringrules, crps_ensemble with the energy estimator, over many unlike ensembles."""
    members = np.sort(rng.lognormal(4.0, 0.5, (50, 200)), axis=1)
    came = rng.lognormal(4.0, 0.7, 50)
    theirs = scoringrules.crps_ensemble(came, members, estimator="nrg", backend="numpy")
    assert crps(members, came) == pytest.approx(np.asarray(theirs), rel=1e-12)


@pytest.mark.parametrize("z", [-2.5, -1.0, 0.0, 0.4, 1.3, 2.7])
def test_two_hundred_quantiles_are_enough(z: float) -> None:
    """They score like the whole distribution: the closed form of scoringrules for the lognormal."""
    members = np.exp(4.0 + 0.4 * stats.norm.ppf(LEVELS))
    came = np.exp(4.0 + 0.4 * z)
    whole = float(scoringrules.crps_lognormal(came, 4.0, 0.4, backend="numpy"))
    assert float(crps(members, np.array(came))) == pytest.approx(whole, rel=0.02)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.8, 0.95])
def test_the_share_that_lies_below(share: float) -> None:
    members = stats.norm.ppf(LEVELS)
    assert float(at(members, share)) == pytest.approx(stats.norm.ppf(share), abs=2e-3)


def test_inside_is_the_middle_range() -> None:
    """Of a normal, 80 % lie within 1.2816 and 90 % within 1.6449 standard deviations."""
    members = np.broadcast_to(stats.norm.ppf(LEVELS), (4, len(LEVELS)))
    came = np.array([-1.27, 1.29, 1.64, -1.66])
    assert inside(members, came, 0.8).tolist() == [1, 0, 0, 0]
    assert inside(members, came, 0.9).tolist() == [1, 1, 1, 0]


def test_ratios_and_shares_are_means_over_the_keys() -> None:
    tally = Tally()
    narrow, wide = np.broadcast_to(1.0 + LEVELS, (2, 200)), np.broadcast_to(4.0 * LEVELS, (2, 200))
    came = np.array([1.5, 1.99])
    tally.add(("a",), {"ours": narrow, "other": wide}, came, np.ones(2))
    tally.add(("b",), {"ours": narrow, "other": wide}, came + 9.0, np.ones(2))
    both = [("a",), ("b",)]
    expected = crps(narrow, came).mean() / crps(wide, came).mean()
    assert tally.ratio([("a",)], "other") == pytest.approx(expected)
    assert tally.held(both).in_80 == 0.25
    assert tally.held([("a",)]).in_80 == 0.5
    assert tally.held(both).count == 4


def test_our_quantiles_are_those_of_the_engine() -> None:
    learned = fit([Log(str(n), m, 4.0) for n, m in enumerate((50.0, 80.0, 60.0))], Rule(10, 12), USUAL)
    members = baselines.ours(learned, [(5.0, None, 0)])
    foretold = predict(learned, 5.0)
    for share in (0.1, 0.5, 0.8, 0.9):
        assert float(at(members, share)[0]) == pytest.approx(quantile_min(foretold, share), rel=5e-3)


def test_simple_methods_by_hand() -> None:
    """Ratios .5 and 1.5 of a rule that says 20 for the next: mean 20, sd √½ · 20."""
    logs = [Log("a", 5.0, 1.0), Log("b", 30.0, 2.0)]
    said = baselines.simple(logs, Rule(0.0, 10.0), np.array([2.0]))
    assert float(at(said["scaled mean"], 0.5)[0]) == pytest.approx(20.0)
    assert float(at(said["scaled mean"], 0.841345)[0]) == pytest.approx(20.0 * (1 + sqrt(0.5)), rel=0.01)
    assert float(at(said["plain mean"], 0.5)[0]) == pytest.approx(17.5)
    assert said["quantiles"][0, [0, -1]] == pytest.approx([10.0, 30.0], rel=0.01)


def test_simple_methods_without_logs_say_the_rule_of_thumb() -> None:
    said = baselines.simple([], Rule(5.0, 10.0), np.array([2.0]))
    assert [float(at(said[name], 0.5)[0]) for name in baselines.METHODS] == pytest.approx([25.0] * 3)


@pytest.mark.parametrize("world", WORLDS, ids=lambda world: world.name)
def test_every_world_gives_numbers(world: World, scored: Tally) -> None:
    for count in durations.LOGS:
        keys = [(world.name, count)]
        held = scored.held(keys)
        assert held.count == KINDS * durations.NEXT
        assert 0.0 <= held.in_80 <= held.in_90 <= 1.0
        for method in (*baselines.METHODS, "told", "oracle"):
            assert 0.0 < scored.ratio(keys, method) < 20.0


def test_the_table_has_a_line_for_each_world_and_count(scored: Tally) -> None:
    lines = durations.table(scored)
    assert len(lines) == 1 + (len(WORLDS) + 1) * (len(durations.LOGS) + 1)
    assert not any("nan" in line for line in lines)


def test_the_oracle_holds_what_it_says(rng: np.random.Generator) -> None:
    """The judge itself: its 80 % range must hold 80 %, or the ratios to it mean nothing."""
    shares = []
    for world in WORLDS:
        shop = worlds.invent(world, rng)
        coming = worlds.next_jobs(shop, worlds.jobs(shop, range(KINDS), 4, rng), 80, rng)
        drawn = np.sort(worlds.honest_min(shop, coming, rng, 600), axis=0)[1::3]
        came = worlds.honest_min(shop, coming, rng)[0]
        shares.append(inside(np.moveaxis(drawn, 0, -1), came, 0.8).mean())
    assert np.mean(shares) == pytest.approx(0.8, abs=0.02)


def test_lognormal_world_has_the_noise_and_the_likeness_it_says(rng: np.random.Generator) -> None:
    shop = worlds.invent(WORLDS[0], np.random.default_rng(2))
    coming = worlds.jobs(shop, range(KINDS), 2, rng)
    ln = np.log(worlds.honest_min(shop, coming, rng, 20_000)[:, 0, :])
    assert ln.std(axis=0) == pytest.approx([kind.noise for kind in shop.kinds], rel=0.03)
    assert np.corrcoef(ln[:, 0], ln[:, 5])[0, 1] == pytest.approx(shop.likeness, abs=0.03)


def test_bad_timers_are_as_many_as_the_shop_has(rng: np.random.Generator) -> None:
    shop = worlds.invent(next(w for w in WORLDS if w.name == "bad timers"), np.random.default_rng(2))
    honest = np.full((200, 200), 60.0)
    said = worlds.logged_min(shop, honest, rng)
    assert np.mean(said != 60.0) == pytest.approx(shop.wild, abs=0.01)
    assert said.max() <= 600.0
    assert said.min() >= 6.0


def test_totals_of_jobs_give_numbers() -> None:
    found = job_totals.walk_shops(1, 5, chosen=WORLDS[:1])
    (jobs,) = found.values()
    assert len(jobs) == job_totals.JOBS - job_totals.FIRST
    assert all(0.0 <= one.rho <= 0.9 and one.blind >= 0.0 and one.crps_alike > 0.0 for one in jobs)
    assert len(job_totals.table(found)) == 4


def write(file: Path, *rows: str) -> Path:
    head = "finished_on,job,pattern,stage,kind,measure,unit,minutes,person"
    file.write_text("\n".join((head, *rows)) + "\n", encoding="utf-8")
    return file


def test_a_file_is_read_as_the_shop_reads_it(tmp_path: Path) -> None:
    """Out of order, a pattern ordered twice, two units of one measure, a day that could be two."""
    file = write(
        tmp_path / "times.csv",
        "2024-02-01,j2,Tray,,Planing,2,m,30,Una",
        "2024-01-01,j1,tray,,planing,100,cm,20,Una",
        "2024-01-01,j1,tray,,planing,1,m,1 h,Una",
        "3/4/2024,j1,tray,,planing,1,m,20,Una",
        "2024-01-02,j1,tray,,,1,m,20,Una",
    )
    times, refused = past_file.read(file, date(2026, 1, 1))
    assert [(one.log.quantity, one.log.minutes, one.log.repeats) for one in times] == [
        (pytest.approx(1.0), 20.0, 0),
        (1.0, 60.0, 0),
        (2.0, 30.0, 1),
    ]
    assert [sentence.split(":")[0] for sentence in refused] == ["row 5, finished_on", "row 6, kind"]
    assert past_file.rules(times) == {"planing": Rule(0.0, pytest.approx(20.0))}


def test_a_file_is_scored_by_kind(tmp_path: Path) -> None:
    """Lognormal times from one level: as good as any other method, and 80 % of them about within 80 %."""
    rng = np.random.default_rng(4)
    minutes = np.exp(log(60.0) + rng.normal(0.0, 0.3, 60))
    rows = [
        f"2024-{1 + n // 28:02}-{1 + n % 28:02},j{n},,,cutting,3,boards,{m:.1f},Una"
        for n, m in enumerate(minutes)
    ]
    times, _ = past_file.read(write(tmp_path / "times.csv", *rows), date(2026, 1, 1))
    tally = past_file.score(times)
    assert list(tally.scores) == [("cutting",)]
    held = tally.held([("cutting",)])
    assert held.count == 60 - past_file.LEAST_LOGS
    assert 0.65 < held.in_80 < 0.95
    assert tally.ratio([("cutting",)], "scaled mean") < 1.1
    assert past_file.table(tmp_path / "times.csv")[-1].startswith(past_file.POOLED)


def test_a_file_with_too_few_times_says_so(tmp_path: Path) -> None:
    file = write(tmp_path / "times.csv", "2024-01-01,j1,,,planing,1,m,20,Una")
    assert "nothing to score" in past_file.table(file)[-1]
