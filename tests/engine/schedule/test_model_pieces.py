import numpy as np
import pytest

from shoptrack.engine.schedule.axis import anybody, axis_of
from shoptrack.engine.schedule.model_pieces import ends_of, pieces
from shoptrack.engine.shapes import Interruption
from shoptrack.engine.shapes.planned import Task
from tests.engine.schedule.hands import DAY, LUNCH_OVER, worker

ADA = axis_of(worker(0, days=3))


def test_a_task_that_may_pause_lasts_longer_over_lunch_and_over_night() -> None:
    """An hour: by itself until eleven and half past three, then with lunch or a night of 930 min in it."""
    found = pieces(Task(0, 60), ADA, ADA, 0, 2 * DAY)
    assert found[60, 60] == [(0, 180), (LUNCH_OVER, 450), (DAY, DAY + 180), (DAY + LUNCH_OVER, DAY + 450)]
    assert found[90, 90] == [(181, 239), (DAY + 181, DAY + 239)]
    assert found[990, 990] == [(451, 509)]
    assert set(found) == {(60, 60), (90, 90), (990, 990)}


def test_a_glue_up_begins_where_it_ends_before_the_next_pause() -> None:
    assert pieces(Task(0, 60, pause="none"), ADA, ADA, 100, DAY - 1) == {
        (60, 60): [(100, 180), (LUNCH_OVER, 450)]
    }


def test_what_goes_on_by_itself_may_begin_at_night() -> None:
    assert pieces(Task(0, 90, crew=0), None, ADA, 600, 1000) == {(0, 90): [(600, 910)]}
    assert pieces(Task(0, 90, crew=0), None, ADA, 600, 689) == {}


def test_no_start_lets_it_end_too_late() -> None:
    assert pieces(Task(0, 60), ADA, ADA, 0, 200) == {(60, 60): [(0, 140)]}


@pytest.mark.parametrize("pause", ["any", "lunch", "none"])
@pytest.mark.parametrize("watched", [False, True])
def test_each_minute_is_in_the_piece_of_its_length_and_in_no_other(
    pause: Interruption, watched: bool
) -> None:
    """All starts of three days, hands of 0 to 300 min and as much after them; Ben comes when Ada is off."""
    rng = np.random.default_rng(3)
    shop = anybody([worker(0, days=3), worker(1, days=3, free=(0,))])
    for _ in range(12):
        hands, rest = (int(n) for n in rng.integers(0, 300, 2))
        task = Task(0, hands + rest, hands=hands, watched=watched, pause=pause)
        found = {
            start: lasts
            for lasts, own in pieces(task, ADA, shop, 0, 3 * DAY).items()
            for first, last in own
            for start in range(first, last + 1)
        }
        for start in range(3 * DAY):
            ends = ends_of(task, ADA, shop, start)
            told = None if ends is None or ends[1] > 3 * DAY else (ends[0] - start, ends[1] - start)
            assert found.get(start) == told, start
