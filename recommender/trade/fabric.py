"""The cloth that is sewn."""

from dataclasses import dataclass

from recommender.trade.rules import Rule, check_fields, number, ruled

CONSTRUCTIONS = ("woven", "knit", "nonwoven")
FIBRES = ("cotton", "linen", "viscose", "wool", "silk", "polyester", "polyamide", "acrylic", "other")
GRAINS = ("lengthwise", "crosswise", "bias")

_BY_HAND = "measured by hand: (stretched - rest) / rest x 100; between sewers it differs widely (ASTM D2594 says so of its own test)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fabric:
    """One cloth, as a sewer describes it, and how it lies in the seam.

    >>> Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60).gsm
    220.0

    Raises
    ------
    InvalidValue
        If a value is outside its range; the message names the field and both numbers.
    """

    name: str = ruled(Rule(kind="text", low=1, high=80, help="What you call this cloth."))
    """What the sewer calls it."""
    construction: str = ruled(Rule(kind="choice", choices=CONSTRUCTIONS, help="Woven, knit, or nonwoven (felt, fleece web)."))
    """Woven, knit or nonwoven."""
    fibre: str = ruled(Rule(kind="choice", choices=FIBRES, help="The fibre that makes up most of it, elastane aside."))
    """The main fibre."""
    gsm: float = number(15, 1000, "g/m2", help="Weight of one square metre of a single layer.")
    """Mass per area of one layer, g/m2."""
    stretch: float = number(0, 300, "%", default=0.0, help="How far a strip stretches across the cloth, by hand.", source=_BY_HAND)
    """Stretch across the cloth, % of the rest length."""
    stretch_along: float | None = number(
        0, 300, "%", default=None, required=False, help="The same along the cloth, if you know it.", source=_BY_HAND
    )
    """Stretch along the cloth, % of the rest length."""
    elastane: float = number(0, 50, "%", default=0.0, help="Share of elastane on the label.")
    """Share of elastane, % of mass."""
    thickness: float | None = number(0.02, 15, "mm", default=None, required=False, help="Thickness of one layer, if you can measure it.")
    """Thickness of one layer, mm."""
    plies: int = ruled(Rule(kind="integer", low=1, high=6, help="Layers under the foot in this seam."), 2)
    """Layers sewn together."""
    grain: str = ruled(Rule(kind="choice", choices=GRAINS, help="How the seam runs against the cloth's length."), "lengthwise")
    """Direction of the seam on the cloth."""

    def __post_init__(self) -> None:
        check_fields(self, "fabric")

    @property
    def weight_class(self) -> str:
        """Light, medium or heavy; the limits are common practice, no source."""
        light, heavy = (120, 240) if self.construction == "woven" else (150, 280)
        return "light" if self.gsm < light else "medium" if self.gsm < heavy else "heavy"

    @property
    def kind(self) -> str:
        """The class that a sewer would name aloud, such as `light woven` or `medium knit`."""
        return f"{self.weight_class} {self.construction}"
