"""What can be wrong, each with one plain sentence for the person who meets it."""


class ShopError(Exception):
    """Something the person can act on: its text is one plain sentence, shown as it is."""


class BadInput(ShopError):
    """A value that was typed or sent can't be taken.

    ``field`` names the form field or JSON member it belongs to, empty for the whole.
    """

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.field = field


class ChangedMeanwhile(BadInput):
    """Somebody changed the thing after the form was opened; the sentence says who and what."""


class NotFound(ShopError):
    """The thing asked for is not here."""


class NotSetUp(NotFound):
    """There is no shop yet: the guided start makes one."""


class Refused(ShopError):
    """The thing asked for may not be done now; the sentence says why and the way out."""


class NotAllowed(ShopError):
    """Whoever asks, or the device they ask from, may not do that; the sentence says who may."""
