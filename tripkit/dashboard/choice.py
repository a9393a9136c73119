"""What a visitor looks at and asks: the chapter that lies open, a horse, a person, an answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from traitlets import Any as AnyTrait
from traitlets import Tuple, Unicode, observe

from tripkit.dashboard.athand import AtHand
from tripkit.dashboard.memo import Memo, read_memo, write_memo
from tripkit.dashboard.slip import Asked
from tripkit.explaining.reasons import Explanation
from tripkit.handbook import CHAPTERS
from tripkit.words import page as words
from tripkit.yard.days import add_days


class Choice(AtHand):
    """What lies open, and what was asked.

    `chapter`, `horse`, `person`, `leaf` (of the handbook), `axis` and `picked` say what lies open;
    `done` are marks on closing dates, `asked` is the answer that lies there.
    """

    chapter = Unicode("two")
    person = Unicode()
    leaf = Unicode(CHAPTERS[0])
    axis = Unicode("cost")
    picked = Unicode()
    done = Tuple()
    asked = AnyTrait(allow_none=True)

    def go(self, address: str) -> None:
        """Open the chapter of an address as the page writes it: `closing`, `horse=Alder`.

        A name that the yard has not, and a chapter that the card has not, change nothing.
        """
        chapter, _, name = address.partition("=")
        if chapter not in words.CHAPTERS:
            return
        with self.hold_trait_notifications():
            if chapter == "horse" and self.yard is not None and name in self.yard.horse_by_name:
                self.horse = name
            if chapter == "road" and "=" in address:
                self.person = name
            if chapter == "handbook" and name in CHAPTERS:
                self.leaf = name
            self.chapter = chapter

    @property
    def address(self) -> str:
        """The address of what lies open."""
        if self.chapter == "horse" and self.horse:
            return f"horse={self.horse}"
        if self.chapter == "road" and self.person:
            return f"road={self.person}"
        if self.chapter == "handbook":
            return f"handbook={self.leaf}"
        return self.chapter

    def mark_done(self, key: str, done: bool) -> None:
        """A closing date is worked through, or not after all."""
        others = tuple(known for known in self.done if known != key)
        self.done = (*others, key) if done else others

    def ask_day(self, side: str, horse: str, index: int) -> None:
        """Why a horse does what it does on a day of the season, in the circuit of a side."""
        circuit = self.find_circuit(self.left if side == "left" else self.right)
        yard = self.yard
        if yard is None or circuit is None or not 0 <= index < yard.season.days:
            return
        day = add_days(yard.season.first, index)
        outings = circuit.outings_by_horse.get(horse, ())
        there = next((o.show for o in outings if o.arrive <= day <= o.leave), "")
        others = tuple(s.show for s in yard.shows if day in s.days and s.show != there)
        self._ask(
            lambda: Asked(
                self._doors.explain_day(yard, circuit, horse, day), horse, there, others, side
            )
        )

    def ask_outing(self, side: str, horse: str, show: str) -> None:
        """Why a horse goes to a show or does not, in the circuit of a side."""
        circuit = self.find_circuit(self.left if side == "left" else self.right)
        yard = self.yard
        if yard is not None and circuit is not None:
            self._ask(
                lambda: Asked(
                    self._doors.explain_outing(yard, circuit, horse, show), horse, show, (), side
                )
            )

    def ask_figure(self, side: str, figure: str) -> None:
        """What a figure of a circuit is made of."""
        circuit = self.find_circuit(self.left if side == "left" else self.right)
        yard = self.yard
        if yard is not None and circuit is not None:
            self._ask(lambda: Asked(self._doors.explain_figure(yard, circuit, figure), side=side))

    def _ask(self, answer: Callable[[], Asked]) -> None:
        try:
            self.asked = answer()
        # An answer that fails is an answer, too: the visitor asked and waits for words.
        except Exception as bad:
            told = words.NO_ANSWER.format(reason=self.tell_error(bad))
            self.asked = Asked(Explanation(words.SLIP, told))

    @property
    def memo(self) -> str:
        """What a page that is loaded again is to remember."""
        return write_memo(Memo(self.done, self.left, self.right, self.diary_side))

    def recall(self, memo: str) -> None:
        """What the page that was loaded before remembers, as far as the yard knows it."""
        known = read_memo(memo)
        if not self.done:
            self.done = known.done
        if known.side in ("left", "right"):
            self.diary_side = known.side
        for side, name in (("left", known.left), ("right", known.right)):
            if self.circuits:
                self.put(side, name)
            elif name:
                # Circuits that come later are laid where their names stand.
                self.set_trait(side, name)

    @observe("chapter", "pair")
    def _put_answer_away(self, change: Any = None) -> None:
        # An answer about another leaf or another circuit would be read as one about this.
        self.asked = None
