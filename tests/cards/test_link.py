"""The address on a card, there and back."""

import re
from urllib.parse import parse_qsl, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender import Fabric, Thread, stitches
from recommender.cards.link import is_seam, read_seam, seam_address, trial_address
from recommender.errors import InvalidValue
from recommender.trade.asked import Asked
from recommender.trade.fabric import CONSTRUCTIONS, FIBRES, GRAINS
from recommender.trade.thread import KINDS

from .conftest import BASE, SEAM

NAMES = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=40)
SHARES = st.floats(0, 50)
THREADS = st.builds(Thread, tex=st.floats(5, 300), fibre=st.sampled_from(FIBRES), kind=st.sampled_from(KINDS))
FABRICS = st.builds(
    Fabric,
    name=NAMES,
    construction=st.sampled_from(CONSTRUCTIONS),
    fibre=st.sampled_from(FIBRES),
    gsm=st.floats(15, 1000),
    stretch=SHARES,
    stretch_along=st.none() | SHARES,
    elastane=SHARES,
    thickness=st.none() | st.floats(0.02, 15),
    plies=st.integers(1, 6),
    grain=st.sampled_from(GRAINS),
)
SEAMS = st.builds(Asked, fabric=FABRICS, stitch=st.sampled_from(stitches()), machine=NAMES, needle_thread=THREADS, looper_thread=THREADS)


def parameters(address: str) -> dict[str, str]:
    return dict(parse_qsl(urlsplit(address).query, keep_blank_values=True))


@given(SEAMS)
def test_a_seam_comes_back_from_its_address_as_it_was(seam: Asked) -> None:
    found = parameters(seam_address(BASE, seam))
    assert is_seam(found)
    assert read_seam(found) == seam


@given(st.text(min_size=1, max_size=64).filter(lambda text: text.isprintable()))
def test_a_trial_comes_back_whatever_its_id(trial_id: str) -> None:
    address = trial_address(f"{BASE}/", trial_id)
    assert urlsplit(address).path == "/swatch_book"
    assert parameters(address) == {"trial": trial_id}


def test_what_is_usual_makes_no_address_longer() -> None:
    asked = "fabric=rib+jersey&construction=knit&fibre=cotton&gsm=220&stretch=60&stitch=four-thread+overlock&machine=bench"
    assert seam_address(BASE, SEAM) == f"{BASE}/?{asked}"


def test_a_parameter_of_somebody_else_is_left_alone() -> None:
    assert not is_seam({"embed": "true"})
    assert read_seam({**parameters(seam_address(BASE, SEAM)), "embed": "true"}) == SEAM


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"gsm": "heavy"}, "weight: got 'heavy', expected a number from 15"),
        ({"gsm": "5"}, "weight: got 5"),
        ({"construction": ""}, "construction: nothing given"),
        ({"stitch": "roled hem"}, "stitch: got 'roled hem'"),
        ({"plies": "2.5"}, "layers sewn: got 2.5"),
        ({"fabric": "a\x07"}, "name of the cloth: got"),
        ({"machine": "m" * 600}, "expected 500 at most"),
    ],
)
def test_an_address_that_cannot_be_is_refused_in_a_sentence(wrong: dict[str, str], told: str) -> None:
    with pytest.raises(InvalidValue, match=re.escape(told)) as refused:
        read_seam({**parameters(seam_address(BASE, SEAM)), **wrong})
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("base", ["", "192.0.2.7:8501", "ftp://192.0.2.7", "http://", "http://[", "javascript:alert(1)"])
def test_a_dashboard_has_an_address_of_the_web(base: str) -> None:
    with pytest.raises(InvalidValue, match="dashboard address: got"):
        trial_address(base, "0f3c")
