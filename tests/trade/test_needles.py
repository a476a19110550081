"""Needle sizes and the choice of a needle."""

import pytest

from recommender.errors import InvalidValue
from recommender.trade.fabric import CONSTRUCTIONS, Fabric
from recommender.trade.needles import needle_for, needle_size, packet_size, sizes
from recommender.trade.thread import ORDINARY, Thread

# Pairs read in a thread maker's technical bulletin on needles.
PUBLISHED = [(60, 8), (65, 9), (70, 10), (75, 11), (80, 12), (90, 14), (100, 16), (110, 18), (120, 19)]


@pytest.mark.parametrize(("metric", "imperial"), PUBLISHED)
def test_both_numbers_of_a_packet_mean_one_needle(metric, imperial):
    written = (str(imperial), f"{metric}/{imperial}", f"{imperial} / {metric}", f"Nm {metric}", f"size {imperial}")
    for given in (metric, imperial, float(metric), *written):
        assert needle_size(given) == metric
    assert packet_size(metric) == f"{metric}/{imperial}"


def test_the_sizes_are_listed_as_on_the_packet():
    assert sizes() == tuple(f"{metric}/{imperial}" for metric, imperial in PUBLISHED)


NO_NEEDLES = ["80/14", "80/90", "12/12", 85, "7", 80.5, True, None, "", "eighty", float("nan"), float("inf"), [80], "80/12/14", -80]


@pytest.mark.parametrize("given", NO_NEEDLES)
def test_what_is_no_needle_is_refused_with_the_list(given):
    with pytest.raises(InvalidValue, match=r"needle size: got .*, expected one of: 60/8, .*120/19"):
        needle_size(given)


@pytest.mark.parametrize("construction", CONSTRUCTIONS)
@pytest.mark.parametrize("gsm", [15, 100, 200, 1000])
def test_every_cloth_has_a_needle_that_exists(construction, gsm):
    needle = needle_for(Fabric(name="cloth", construction=construction, fibre="cotton", gsm=gsm), ORDINARY)
    assert needle_size(needle.size) == needle.size
    assert needle.point
    assert needle.reason
    assert needle.source
    assert ("ball" in needle.point) == (construction == "knit")  # common practice, no source


def test_heavier_cloth_takes_no_finer_needle():
    for construction in CONSTRUCTIONS:
        chosen = [
            needle_for(Fabric(name="c", construction=construction, fibre="wool", gsm=gsm), ORDINARY).size for gsm in range(20, 1000, 40)
        ]
        assert chosen == sorted(chosen)
        assert chosen[0] < chosen[-1]


def test_a_thread_that_does_not_go_through_the_eye_takes_a_coarser_needle_of_the_same_point():
    """40 tex wants 80 to 100, 60 tex 90 to 110: from memory of a thread maker's technical bulletin."""
    chiffon = Fabric(name="chiffon", construction="woven", fibre="silk", gsm=40)
    assert [needle_for(chiffon, Thread(tex=tex)).packet for tex in (18, 27, 40, 60)] == [
        f"{size}, fine sharp" for size in ("70/10", "70/10", "80/12", "90/14")
    ]
    assert needle_for(chiffon, Thread(tex=300)).size == 120
    denim = Fabric(name="denim", construction="woven", fibre="cotton", gsm=400)
    assert needle_for(denim, Thread(tex=27)) == needle_for(denim, Thread(tex=60))
    sizes_for = [needle_for(chiffon, Thread(tex=tex)).size for tex in range(5, 300, 5)]
    assert sizes_for == sorted(sizes_for)
