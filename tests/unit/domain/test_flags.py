"""Quality flags, each defined once."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from counter.domain.flags import FLAGS, known


def test_every_flag_has_a_key_of_its_own_and_words_for_people() -> None:
    """Keys go into files, so they are plain; explanations are sentences."""
    assert len({flag.key for flag in FLAGS}) == len(FLAGS)
    for flag in FLAGS:
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", flag.key)
        assert flag.name
        assert flag.explanation.endswith(".")


@given(st.lists(st.sampled_from(FLAGS)), st.lists(st.text(max_size=8)))
def test_known_flags_come_in_order_and_others_are_left_out(
    flags: list[object], more: list[str]
) -> None:
    """Keys of a newer program do no harm."""
    keys = [flag.key for flag in FLAGS if flag in flags]
    others = [key for key in more if key not in {flag.key for flag in FLAGS}]
    assert [flag.key for flag in known([*others, *reversed(keys)])] == keys
