"""What is said of each kind of remedy: headline, steps without amounts, what to expect.

Knows wording only; follows the trade's list of remedies named in docs/science.md. Amounts and the
forecast are `diagnose_remedy`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from heapwright.advice import phrases
from heapwright.sentences import Sentence, say


@dataclass(frozen=True, slots=True)
class RemedyText:
    """What is said of one kind of remedy whatever the heap.

    Attributes
    ----------
    headline : Sentence
    steps, expected, cautions : tuple of Sentence
    is_turning : bool
        It is forked over: the cautions of turning stand beside it too.

    """

    headline: Sentence
    steps: tuple[Sentence, ...] = ()
    expected: tuple[Sentence, ...] = ()
    cautions: tuple[Sentence, ...] = ()
    is_turning: bool = False


_SMELL_GONE = (say("The smell should be gone within two days."),)
_WARM_AGAIN = (say("It should be warm to the hand within a few days."),)

TEXTS: Mapping[str, RemedyText] = {
    "leave": RemedyText(
        say("Nothing to mend: go on as Today says."),
        expected=(say("Read it again in a day or two."),),
    ),
    "wait": RemedyText(
        say("Leave it alone and read it again."),
        steps=(say("A new heap takes a few days to heat, up to a week."),),
        expected=(say("If it is not warm by then, come back here."),),
    ),
    "wait for warmth": RemedyText(
        say("Keep its heat in, and turn it less."),
        steps=(
            say("Bales, straw or bags of leaves round the windward side, and a thick cap."),
            say("Make it larger when there is something to add."),
        ),
        expected=(say("It works on slowly and heats again when the days are milder."),),
        cautions=phrases.DUST,
    ),
    "wet": RemedyText(
        say("Fork it over and wet it layer by layer."),
        steps=(say("Then cover and shade it, so that it keeps the water."),),
        expected=(say("A dry heap warms again within a day or two of wetting."),),
        cautions=phrases.WETTING,
        is_turning=True,
    ),
    "dry brown": RemedyText(
        say("Turn it and mix in dry brown."),
        steps=(say("Cover it from rain, and let water run away from its foot."),),
        expected=_SMELL_GONE,
        is_turning=True,
    ),
    "brown": RemedyText(
        say("Mix in brown and turn it."),
        steps=(say("No more lime or ash, and no more grass or manure for now."),),
        expected=_SMELL_GONE,
        is_turning=True,
    ),
    "green": RemedyText(
        say("Mix in fresh green and turn it."), expected=_WARM_AGAIN, is_turning=True
    ),
    "enlarge": RemedyText(
        say("Make it larger, all at once."),
        steps=(say("Or insulate its sides; or take it as slow compost, which is fine too."),),
        expected=_WARM_AGAIN,
        is_turning=True,
    ),
    "loosen": RemedyText(
        say("Fork it loose and mix in coarse, dry brown."),
        steps=(say("Straw, chips or twigs keep gaps open; fine leaves do not."),),
        expected=_SMELL_GONE,
        is_turning=True,
    ),
    "turn": RemedyText(
        say("Turn it, outside in."),
        steps=(say("Squeeze a handful while you turn, and wet what is dry."),),
        expected=(
            say("If it has food left it is hot again within days; if it stays cool, it is done."),
        ),
        is_turning=True,
    ),
    "cool": RemedyText(
        say("Turn it and wet it, so that it cools."),
        steps=(say("Or make it smaller: split it in two."),),
        expected=(say("It cools at once and may climb again; read it tomorrow."),),
        cautions=phrases.WETTING,
        is_turning=True,
    ),
    "cure": RemedyText(
        say("Turn it once more; if it stays cool, leave it to cure."),
        steps=(say("Keep it as damp as a wrung-out sponge; cure for a month or more."),),
        expected=(say("Then test it: see whether it is ready."),),
        is_turning=True,
    ),
    "take out food": RemedyText(
        say("Take out meat and fat, turn it, mix in dry brown."),
        steps=(say("Bury what is left of it deep, or put it out with the rubbish."),),
        expected=_SMELL_GONE,
        is_turning=True,
    ),
    "bury": RemedyText(
        say("Bury what lies open and cap it with dry brown."),
        steps=(
            say(
                "Turn all of it into the heat at least every nine days, until no maggots are left."
            ),
        ),
        expected=(say("Fewer flies within a week: a fly needs about nine days to grow up."),),
        cautions=phrases.HANDLING,
    ),
    "shut out": RemedyText(
        say("Take out the food they come for, and close the gaps."),
        steps=(
            say("No meat, dairy or cooked food; bury scraps in the middle."),
            say("Fine wire mesh under and round the bin, and a lid."),
        ),
        expected=(say("When nothing is to be had they stay away."),),
        cautions=(
            *phrases.HANDLING,
            say("Do not breathe the dust of droppings: damp them first."),
        ),
    ),
    "break up": RemedyText(
        say("Break up the mats and mix them through."),
        steps=(say("Shred leaves, and put grass on in thin layers with brown between."),),
        expected=_WARM_AGAIN,
        is_turning=True,
    ),
    "shred": RemedyText(
        say("Shred what is large, or screen it out and put it into the next heap."),
        steps=(say("A thumb's width, up to two, is a good size; big pieces take seasons."),),
        expected=(say("What is fine rots in weeks; the coarse is the next heap's base."),),
        cautions=(*phrases.DUST, *phrases.USING[:1]),
    ),
    "drain": RemedyText(
        say("Let the water run away: raise the bin or trench round it."),
        steps=(say("Put coarse twigs under it, and turn it weekly until it has dried."),),
        expected=(say("No puddle a day after rain."),),
        is_turning=True,
    ),
    "outside in": RemedyText(
        say("Build it up hot again and turn it outside in, three times or more."),
        steps=(say("No roots of spreading weeds and no seed heads next time."),),
        expected=(say("Fewer weeds; never none: use it under a mulch until then."),),
        is_turning=True,
    ),
    "cure longer": RemedyText(
        say("Let it cure longer, then sow radish in it again."),
        steps=(
            say("Until then use it as a mulch, away from seedlings, or a small share in soil."),
        ),
        expected=(say("At least three in four seeds come up and grow."),),
        cautions=phrases.USING,
    ),
    "keep off beds": RemedyText(
        say("Do not use it on beds; keep it apart."),
        steps=(
            say("Sow beans or peas in it and in plain potting mix, three pots each, and compare."),
            say("It may go on lawn grass. Do not pass it on; ask whoever sold the hay or manure."),
        ),
        expected=(say("Only time in the soil breaks it down, often more than a season."),),
        cautions=phrases.USING,
    ),
}
