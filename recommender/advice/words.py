"""How controls are spoken of."""


def spoken(control: str) -> str:
    """A control as it is said in a sentence.

    >>> spoken("tension: upper looper"), spoken("differential"), spoken("length"), spoken("width"), spoken("foot pressure")
    ('upper looper tension', 'differential feed', 'stitch length', 'cutting width', 'foot pressure')
    """
    thread = control.removeprefix("tension: ")
    others = {"differential": "differential feed", "length": "stitch length", "width": "cutting width"}
    return f"{thread} tension" if thread != control else others.get(control, control)


def brief(control: str) -> str:
    """The same where there is little room: of a tension the thread alone.

    >>> brief("tension: left needle"), brief("length")
    ('left needle', 'stitch length')
    """
    return spoken(control).removesuffix(" tension")
