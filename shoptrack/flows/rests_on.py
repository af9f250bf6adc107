"""What was foretold of a stage → the one sentence that says what it rests on and what it comes to."""

from shoptrack.engine.durations import quantile_min
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.units import minutes_words


def rests_on(prediction: Prediction, unit: str, patterned: bool = True) -> str:
    """What a foretelling rests on, as it is said on every screen.

    Takes what was foretold, the unit of the stage's measure, and whether it was asked for a pattern. Gives
    "7 logged, 3 of this pattern, 1 set aside, scaled by joints: half under 2 h 10, 8 in 10 under 3 h."; it
    begins with "untested:" where nothing of the pattern was logged. Empty: nothing was logged at all, so it
    says that it is the rule of thumb's.
    """
    untested = "untested: " if patterned and prediction.untested else ""
    middle, most = (minutes_words(quantile_min(prediction, share)) for share in (0.5, 0.8))
    return f"{untested}{_basis(prediction, unit, patterned)}: half under {middle}, 8 in 10 under {most}."


def _basis(prediction: Prediction, unit: str, patterned: bool) -> str:
    scaled = f"scaled by {unit}" if unit else ""
    if not prediction.logs:
        return ", ".join(part for part in ("nothing logged yet, from the rule of thumb", scaled) if part)
    own = f"{prediction.of_pattern or 'none'} of this pattern" if patterned else ""
    aside = f"{prediction.set_aside} set aside" if prediction.set_aside else ""
    return ", ".join(part for part in (f"{prediction.logs} logged", own, aside, scaled) if part)
