"""Eggs among larvae: small bodies full of yolk, where larvae have a shell round something paler.

Common practice, no source: so does a technician tell an egg that did not develop. Four looks:

- as round as an egg, and as strong inside as at the rim;
- oval, smaller, and with a pale middle: the germinal vesicle of an egg that is not ripe;
- shorter than the larvae, darker than any shell beside it, and dark evenly all over: yolk. A
  trochophore is as dark, but its rim is no darker than theirs, or its inside is patchy; a larva on
  its side is narrower;
- shorter than the larvae, a ball as round as nothing that has a hinge, and not clear inside. A
  trochophore is pear-shaped, or patchy.
"""

from __future__ import annotations

from counter.imaging.kinds import EGG, EMPTY, ROUND
from counter.imaging.shape import off_ellipse
from counter.imaging.shelled import PERHAPS_EMPTY, Shelled, fill_share, shell
from counter.imaging.weighed import Weighed

EGG_FILL, EGG_FILL_TIMES = 0.7, 1.25
"""An egg's contrast inside is at least this share of that at its rim, and so many times as much of
it as a shelled body's (median)."""

EGG_SHORT, EGG_LIKE, EGG_SHELL = 0.9, 0.05, 0.4
"""An egg is no longer than this share of the shelled bodies' median length, and the network sees at
least so much egg on it and takes it for so much of a shelled larva: what it sees no shell on either
may be a trochophore."""

OVAL, OVAL_SHORT, OVAL_FILL_TIMES, PALE = 0.7, 0.8, 1.15, 0.7
"""An egg that still has its germinal vesicle may be oval, at least so wide for its length. It is
then shorter than the second share of the shelled bodies' median length, has the third times as much
contrast inside, and in the middle, where the vesicle lies, less than the fourth share of that at
its rim: a trochophore is darker there, drawn ones beside larvae have 0.73 and more of it. On drawn
fields 50 to 57 of each kind by two renderers, and 58 to 67 of ten of them, no body is so."""

OVAL_LIKE = 0.02
"""How much egg the network sees on an oval one at least: it takes it for a small larva."""

YOLK_RIM, YOLK_EVEN, YOLK_FILL = 1.15, 0.2, 0.75
"""A rim that is more than so many times as strong as the shelled bodies' (median), an inside that
varies by less than the second share of it beside what follows the distance from the middle, and
more contrast inside than the third share of it: yolk. On pictures of one renderer 93 of 95 drawn
eggs beside larvae that the other limits leave are so, two-celled ones too, and 74 of 114 on others;
of 12,411 drawn larvae and trochophores by four renderers none is. Of 300 trochophores of one
renderer four would be, were the larvae longer."""

YOLK_SHORT, YOLK_WIDE, YOLK_LIKE = 0.8, 0.6, 0.05
"""What is full of yolk is shorter than the first share of the shelled bodies' median length and
wider than the second share of its own, as an egg of two cells still is, and the network sees at
least so much egg on it."""


BALL, BALL_OFF, BALL_SHORT, BALL_FILL, BALL_EVEN = 0.9, 0.018, 0.82, 0.4, 0.25
"""A ball is at least so wide for its length, strays less than the second share from an ellipse
(:func:`off_ellipse`), is shorter than the third share of the shelled bodies' median length, has
more contrast inside than the fourth share of that at its rim, and varies there by less than the
fifth beside what follows the distance from the middle. On drawn fields 50 to 57 of each kind by two
renderers, and on pictures of a third, none of 10,000 larvae beside shelled ones is so, and 15 of
the 16 whole eggs that the other limits leave."""


def is_small_egg(each: Weighed, usual: Shelled, egg_um: float) -> bool:
    """Whether a dark or bright body is an egg; ``egg_um`` is the longest egg's length."""
    if each.measures.length_um > egg_um:
        return False
    return _is_full_of_yolk(each, usual) or _is_filled_egg(each, usual) or _is_ball(each, usual)


def _is_ball(each: Weighed, usual: Shelled) -> bool:
    """Dark, short, round and not clear inside; the network sees no empty shell."""
    return (
        each.traits.core < 0
        and each.measures.length_um < BALL_SHORT * usual.length_um
        and each.measures.width_um > BALL * each.measures.length_um
        and fill_share(each) > BALL_FILL
        and each.traits.texture < BALL_EVEN * abs(each.traits.rim)
        and float(each.classes[EMPTY]) < PERHAPS_EMPTY
        and off_ellipse(each.outline) < BALL_OFF
    )


def _is_full_of_yolk(each: Weighed, usual: Shelled) -> bool:
    """Short, darker than every shell, and so all over and evenly."""
    rim = abs(each.traits.rim)
    return (
        each.traits.core < 0
        and rim > YOLK_RIM * usual.rim
        and each.traits.texture < YOLK_EVEN * rim
        and fill_share(each) > YOLK_FILL
        and each.measures.length_um < YOLK_SHORT * usual.length_um
        and each.measures.width_um > YOLK_WIDE * each.measures.length_um
        and float(each.classes[EGG]) > YOLK_LIKE
    )


def _is_filled_egg(each: Weighed, usual: Shelled) -> bool:
    """Short, as strong inside as at the rim; the network sees both some egg and a shell."""
    return (
        fill_share(each) > EGG_FILL
        and (_is_round_egg(each, usual) or _is_oval_egg(each, usual))
        and shell(each) > EGG_SHELL
    )


def _is_round_egg(each: Weighed, usual: Shelled) -> bool:
    return (
        fill_share(each) > EGG_FILL_TIMES * usual.fill_share
        and each.measures.length_um < EGG_SHORT * usual.length_um
        and each.measures.width_um > ROUND * each.measures.length_um
        and float(each.classes[EGG]) > EGG_LIKE
    )


def _is_oval_egg(each: Weighed, usual: Shelled) -> bool:
    return (
        fill_share(each) > OVAL_FILL_TIMES * usual.fill_share
        and each.measures.length_um < OVAL_SHORT * usual.length_um
        and each.measures.width_um > OVAL * each.measures.length_um
        and abs(each.traits.core) < PALE * abs(each.traits.rim)
        and float(each.classes[EGG]) > OVAL_LIKE
    )
