from shoptrack.store.log_names import LogNames, log_names, pattern_names
from shoptrack.store.logs import logged
from tests.joinery import PIET, Joinery
from tests.times import bring_in, mill


def test_names_of_what_was_tapped_and_of_what_was_brought_in(joinery: Joinery) -> None:
    """A job has its tag, its pattern and who started it; a time from before the log what the file said."""
    mill(joinery, "board game tray", 50, -2, PIET)
    bring_in(joinery, "milling", [45.0], job="old tray 🪵", person="Wim")
    bring_in(joinery, "glue-up", [45.0], pattern=2, person="")
    with joinery.store.reading() as session:
        logs = logged(session)
        names = log_names(session, logs)
        tagged = {one.job: names[one.key] for one in logs if one.job}
        before = {names[one.key] for one in logs if one.imported}
    assert [(n.title, n.pattern, n.who) for n in tagged.values()] == [("board game tray", "tray", "Piet")]
    assert all(name.tag for name in tagged.values())
    assert before == {LogNames("", "old tray 🪵", "", "Wim"), LogNames("", "old glue-up 0", "door", "")}


def test_of_nothing_nothing(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert log_names(session, []) == {}
        assert pattern_names(session) == {2: "door", 1: "tray"}
