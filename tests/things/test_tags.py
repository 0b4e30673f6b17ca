"""Tags, their check character, and the text of their codes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandline.things.tags import (
    ALPHABET,
    TagCode,
    TagError,
    check_character,
    mod_37_36,
    qr_text,
    read_qr,
    tag_range,
)


@pytest.mark.parametrize(
    ("text", "check"),
    [
        # The example of the Global Release Identifier standard, A1-2425G-ABC1234002-M.
        ("A12425GABC1234002", "M"),
        # Two International Standard Audiovisual Numbers (ISO 15706): root and episode, then the check.
        ("0000000189470000", "8"),
        ("00000000D07A0090", "Q"),
    ],
)
def test_check_characters_are_those_others_publish(text: str, check: str) -> None:
    """Numbers that other schemes publish, worked out by ISO/IEC 7064 MOD 37,36."""
    assert mod_37_36(text) == check


codes = st.text(ALPHABET, min_size=2, max_size=12)
numbers = st.integers(1, 999999).map(lambda n: f"{n:04d}")


@given(codes, numbers, st.data())
def test_one_wrong_character_is_always_found(incident: str, tag: str, data: st.DataObject) -> None:
    """Whatever single character of the tag is misread, the check differs."""
    at = data.draw(st.integers(0, len(tag) - 1))
    wrong = data.draw(st.sampled_from([digit for digit in "0123456789" if digit != tag[at]]))
    misread = tag[:at] + wrong + tag[at + 1 :]
    assert check_character(incident, misread) != check_character(incident, tag)


def test_nearly_every_swap_of_neighbours_is_found() -> None:
    """Of all swaps of two different neighbours among four digits, fewer than one in a hundred passes."""
    tried, kept = 0, []
    for number in range(1, 10000):
        tag = f"{number:04d}"
        check = check_character("ORNL1", tag)
        for at in range(3):
            if tag[at] != tag[at + 1]:
                swapped = tag[:at] + tag[at + 1] + tag[at] + tag[at + 2 :]
                tried += 1
                if check_character("ORNL1", swapped) == check:
                    kept.append((tag, swapped))
    assert tried > 20_000
    assert len(kept) / tried < 0.01


@given(codes, numbers, st.sampled_from(["", "-a", "-zz"]))
def test_a_code_reads_back(incident: str, tag: str, fragment: str) -> None:
    """What is written is what is read."""
    assert read_qr(qr_text(incident, tag + fragment)) == TagCode(incident, tag + fragment)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "SL1:ORNL1:0042",
        "SL2:ORNL1:0042:5",
        "SL1:ORNL1:0043:5",
        "SL1:ORNL2:0042:5",
        "SL1:ornl1:0042:5",
        "0042",
    ],
)
def test_what_is_no_code_is_refused_with_a_sentence(text: str) -> None:
    """Wrong shape, wrong incident, wrong check: refused, with a reason to read."""
    with pytest.raises(TagError, match=r"\w+ .+"):
        read_qr(text)


@pytest.mark.parametrize("tag", ["42", "0042a", "0042-A", "00 42", "", "0042-abcd"])
def test_what_is_no_tag_is_refused(tag: str) -> None:
    """Four digits or more, fragments with a small letter."""
    with pytest.raises(TagError):
        qr_text("ORNL1", tag)


def test_ranges_count_on_past_four_digits() -> None:
    """Tags grow wider rather than begin again."""
    assert tag_range(9999, 2) == ("9999", "10000")
    with pytest.raises(TagError):
        tag_range(0, 5)
    with pytest.raises(TagError):
        tag_range(1, 0)
