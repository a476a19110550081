"""How controls are spoken of."""


def spoken(control: str) -> str:
    """A control as it is said in a sentence.

    >>> spoken("tension: upper looper"), spoken("differential"), spoken("length"), spoken("width")
    ('upper looper tension', 'differential feed', 'stitch length', 'cutting width')
    """
    thread = control.removeprefix("tension: ")
    others = {"differential": "differential feed", "length": "stitch length", "width": "cutting width"}
    return f"{thread} tension" if thread != control else others[control]
