"""The paper that sheets are built on: a running page with title, job line and footer, filled from the top down.

A :class:`Builder` keeps the place on the page and starts a new one when something does not fit; numbers come last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import filled, frame, paragraph, row_heights, table, wrap_text
from cutplan.drawing.model import Anchor, Item, Page, Pen, Text, line
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.sheets.columns import whole_words
from cutplan.tables.paper import bench_sheet
from cutplan.texts import Message, Reader
from cutplan.texts.by_id import told

#: Border that every printer leaves free [mm].
MARGIN_MM = 10.0
#: Font sizes [mm]: read at arm's length with gloves on; nothing is smaller than SMALL.
TITLE, HEADING, BODY, CELL, SMALL = 6.4, 4.8, 4.0, 3.6, 3.2
_TOP, _BOTTOM = 12.0, 10.5
#: Font size of the job's name beside the title [mm].
_LEAST = 3.0
#: A chapter begins below the one before where this much of the page is left for it [mm].
CHAPTER_MM = 75.0


@dataclass(frozen=True, slots=True)
class Passage:
    """What was written in one go: pages finished by it, the page that it left, and how far down that is filled [mm]."""

    done: tuple[tuple[str, str, tuple[Item, ...]], ...]
    items: tuple[Item, ...]
    title: str
    head: str
    bookmark: str
    y: float


def sheet_size(job: Job) -> tuple[float, float]:
    """Return width and height of the job sheet [mm]: on what goes with the paper of the templates."""
    sheet = bench_sheet(job.paper.name)
    return sheet.width_mm, sheet.height_mm


class Builder:
    """Fills pages from the top down in one language; the one mutable thing of the sheets."""

    def __init__(self, job: Job, shop: Shop, lang: str = "en") -> None:
        self.job, self.shop, self.lang = job, shop, lang
        self.read = Reader(lang, job.shown.display)
        self.width, self.height = sheet_size(job)
        self.left, self.right = MARGIN_MM, self.width - MARGIN_MM
        self.bottom = MARGIN_MM + _BOTTOM
        self._done: list[tuple[str, str, tuple[Item, ...]]] = []
        self._items: list[Item] = []
        self._title = self._head = ""
        self._bookmark = ""
        self._cautions = 0
        self.y = self.height

    @property
    def wide(self) -> float:
        """Width between the margins [mm]."""
        return self.right - self.left

    @property
    def room(self) -> float:
        """Height left on this page [mm]."""
        return self.y - self.bottom

    @property
    def title_mm(self) -> float:
        """What the title of a chapter takes that begins below another, at most [mm]."""
        return 3.5 + TITLE + 4.5

    @property
    def full(self) -> float:
        """Height of an empty page between title and footer [mm]."""
        return self.height - MARGIN_MM - _TOP - self.bottom

    def say(self, key: Message | str, **values: object) -> str:
        """Return a message, or the text of an id, in the sheet's language and units."""
        return self.read(key) if isinstance(key, Message) else told(key, self.read, **values)

    def page(self, key: Message | str, *, need_mm: float = CHAPTER_MM, **values: object) -> None:
        """Begin a chapter: below the last one where so much of the page is left [mm], else on a new page with a bookmark."""
        title = self.say(key, **values)
        if self._title and self.room >= need_mm + self.title_mm:
            self.skip(3.5)
            self.add(line((self.left, self.y), (self.right, self.y), Pen(0.7), "rule"))
            size = min(TITLE, TITLE * self.wide / max(text_width(title, TITLE, bold=True), 1.0))
            self.add(Text(title, Point(self.left, self.y - 1.0 - size), size, bold=True, tag="title"))
            self.skip(size + 4.5)
            self._title = title
            self._bookmark = " · ".join(t for t in (self._bookmark, title) if t)
            return
        self._close()
        self._title = self._head = self._bookmark = title
        self.y = self.height - MARGIN_MM - _TOP

    def cautions_here(self) -> None:
        """Say in every foot that the cautions stand on this page."""
        self._cautions = len(self._done) + 1

    def more(self) -> None:
        """Go on with the same title on a new page."""
        title = self._title
        self._close()
        self._title = self._head = title
        self._bookmark = ""
        self.y = self.height - MARGIN_MM - _TOP

    @contextmanager
    def column(self, left_mm: float, right_mm: float) -> Iterator[None]:
        """Write between two edges only [mm]; what is written there must fit the page, which the caller sees to."""
        whole, top = (self.left, self.right), self.y
        self.left, self.right = left_mm, right_mm
        yield
        (self.left, self.right), self.y = whole, top

    def need(self, height_mm: float) -> None:
        """Go to a new page unless there is so much room left [mm]."""
        if self.room < min(height_mm, self.full):
            self.more()

    def add(self, *items: Item) -> None:
        """Put items on the page where they are."""
        self._items.extend(items)

    def skip(self, height_mm: float) -> None:
        self.y -= height_mm

    def heading(self, text: str, need_mm: float = 24.0) -> None:
        """Write a heading; it keeps some room below it on the same page."""
        self.need(need_mm)
        items, self.y = paragraph(text, self.left, self.y - 2.0, self.wide, HEADING, bold=True, tag="heading")
        self.add(*items)
        self.skip(1.5)

    def para(
        self, text: str, size: float = BODY, *, bold: bool = False, indent: float = 0.0, tag: str = "text"
    ) -> None:
        """Write a paragraph."""
        items, below = paragraph(text, self.left + indent, self.y, self.wide - indent, size, bold=bold, tag=tag)
        if below < self.bottom and self.y - below < self.full:
            self.more()
            items, below = paragraph(text, self.left + indent, self.y, self.wide - indent, size, bold=bold, tag=tag)
        self.add(*items)
        self.y = below - 0.5 * size

    def height_of(self, texts: Sequence[str], size: float = BODY) -> float:
        """Return the height that paragraphs take [mm]."""
        return sum((1.3 * len(wrap_text(t, self.wide, size)) + 0.5) * size for t in texts)

    def tick(self, text: str, number: str = "", size: float = BODY, indent: float = 0.0, room: float = 0.0) -> None:
        """Write a step with a box to tick, and its number; ``room`` leaves blank space below it [mm]."""
        inset = 8.0 + (4.0 + text_width(number, size, bold=True) if number else 0.0)
        x = self.left + indent
        items, below = paragraph(text, x + inset, self.y, self.wide - inset - indent, size)
        if min(below, self.y - 6.0) - room < self.bottom:
            self.more()
            items, below = paragraph(text, x + inset, self.y, self.wide - inset - indent, size)
        self.add(frame(Box(x, self.y - 5.0, x + 5.0, self.y), Pen(0.4), "tick"))
        if number:
            self.add(Text(number, Point(x + 8.0, self.y - 0.8 * size), size, bold=True, tag="number"))
        self.add(*items)
        self.y = min(below, self.y - 6.0) - room - 0.45 * size

    def table(
        self,
        rows: Sequence[Sequence[str]],
        shares: Sequence[float],
        size: float = CELL,
        align: Sequence[Anchor] | None = None,
        tag: str = "table",
        title: str = "",
    ) -> None:
        """Write a table with a header row, whole where a page holds it; ``shares`` weigh the column widths.

        ``title`` is its heading, kept with it.
        """
        widths = whole_words(rows, shares, self.wide, size)
        tall = row_heights(rows, widths, size)
        whole = sum(tall) + (14.0 if title else 1.0)
        self.need(whole if whole < 0.6 * self.full else sum(tall[:3]) + 14.0)
        if title:
            self.heading(title)
        body = list(rows[1:])
        while True:
            items, below, drawn = table(
                [rows[0], *body], self.left, self.y, widths, size, align=align, bottom_mm=self.bottom, tag=tag
            )
            self.add(*items)
            self.y = below
            body = body[max(drawn - 1, 0) :]
            if not body:
                break
            if drawn <= 1 and self.room > 0.95 * self.full:
                body = body[1:]
            self.more()
        self.skip(3.5)

    def table_height(self, rows: Sequence[Sequence[str]], shares: Sequence[float], size: float = CELL) -> float:
        """Return the height of a whole table with the gap below it [mm]."""
        return sum(row_heights(rows, whole_words(rows, shares, self.wide, size), size)) + 3.5

    def two_blocks(
        self,
        head: Sequence[str],
        rows: Sequence[Sequence[str]],
        shares: Sequence[float],
        align: Sequence[Anchor],
        tag: str,
        size: float = CELL,
    ) -> None:
        """Write a long narrow table as two blocks side by side, read down the left one first on each page."""
        gap = 6.0
        wide = 0.5 * (self.wide - gap)
        widths = whole_words([head, *rows], shares, wide, size)
        left = list(rows)
        while left:
            tall = row_heights([head, *left[: int(self.full)]], widths, size)
            self.need(tall[0] + 3.0 * max(tall[1:4]))
            fit, used = 0, tall[0]
            while fit < len(tall) - 1 and used + tall[fit + 1] <= self.room:
                used += tall[fit + 1]
                fit += 1
            each = min(fit, -(-len(left) // 2))
            low = self.y
            for k in (0, 1):
                part = left[k * each : (k + 1) * each]
                if part:
                    x = self.left + k * (wide + gap)
                    items, below, _ = table([head, *part], x, self.y, widths, size, align=align, tag=tag)
                    self.add(*items)
                    low = min(low, below)
            left = left[2 * each :]
            self.y = low - 3.5
            if left:
                self.more()

    def box(self, text: str, size: float = BODY, fill: str = "#eeeeee", bold: bool = False) -> None:
        """Write a paragraph in a framed box, for cautions and verdicts."""
        items, below = paragraph(text, self.left + 3.0, self.y - 3.0, self.wide - 6.0, size, bold=bold)
        if below - 3.0 < self.bottom:
            self.more()
            items, below = paragraph(text, self.left + 3.0, self.y - 3.0, self.wide - 6.0, size, bold=bold)
        self.add(filled(Box(self.left, below - 2.0, self.right, self.y), fill, "box", Pen(0.5)), *items)
        self.y = below - 5.0

    @property
    def place(self) -> str:
        """Where writing goes on and with what room: the same words from the same place give the same passage."""
        return self.place_before(0.0)

    def place_before(self, need_mm: float) -> str:
        """As ``place`` for what begins a chapter of so much need [mm]: without room for it, how little there is is one."""
        full = need_mm > 0.0 and self.room < need_mm + self.title_mm
        return repr((self.width, self.height, self._title, self._head, self._bookmark, "full" if full else self.y))

    def passage(self, write: Callable[[], None]) -> Passage:
        """Write something and return what it put on paper, without what stood on its first page before; taken back again."""
        kept = self._done, self._items, self._title, self._head, self._bookmark, self.y
        self._done, self._items = [], []
        write()
        found = Passage(tuple(self._done), tuple(self._items), self._title, self._head, self._bookmark, self.y)
        self._done, self._items, self._title, self._head, self._bookmark, self.y = kept
        return found

    def put(self, passage: Passage) -> None:
        """Put a passage on paper, at the place where it was written."""
        before = tuple(self._items)
        for head, bookmark, items in passage.done:
            self._done.append((head, bookmark, (*before, *items)))
            before = ()
        self._items = [*before, *passage.items]
        self._title, self._head, self._bookmark = passage.title, passage.head, passage.bookmark
        self.y = passage.y

    def _close(self) -> None:
        if self._head or self._items:
            self._done.append((self._head, self._bookmark, tuple(self._items)))
        self._items = []

    def pages(self) -> tuple[Page, ...]:
        """Return the finished pages, numbered."""
        self._close()
        total = len(self._done)
        done = tuple(
            Page(self.width, self.height, (*self._furniture(title, n, total), *items), f"{n}", bookmark)
            for n, (title, bookmark, items) in enumerate(self._done, 1)
        )
        self._done, self._title, self._head = [], "", ""
        return done

    def _furniture(self, title: str, n: int, total: int) -> list[Item]:
        """Title, job line and footer of one page."""
        top = self.height - MARGIN_MM
        big = min(TITLE, 0.72 * TITLE * self.wide / max(text_width(title, TITLE, bold=True), 1.0))
        room = self.wide - text_width(title, big, bold=True) - 6.0
        name = shortened(self.job.about.title, room, _LEAST)
        revision = self.say("page.revision", revision=self.job.about.revision)
        count = self.say("page.count", n=n, total=total)
        source = self.say("page.shop", shop=self.shop.source) if self.shop.source else self.say("page.no_shop")
        where = self.say("page.cautions", n=self._cautions) if self._cautions else self.say("page.cautions_apart")
        warn = shortened(self.say("page.warn", where=where), self.wide, SMALL, bold=True)
        room = self.wide - text_width(count, BODY, bold=True) - 4.0
        low = MARGIN_MM + 1.2
        return [
            Text(title, Point(self.left, top - 6.4), big, bold=True, tag="title"),
            Text(name, Point(self.right, top - 2.6), _LEAST, "right", tag="job"),
            Text(revision, Point(self.right, top - 7.0), SMALL, "right", bold=True, tag="job"),
            line((self.left, top - 9.2), (self.right, top - 9.2), Pen(0.7), "rule"),
            line((self.left, self.bottom - 1.6), (self.right, self.bottom - 1.6), Pen(0.4), "rule"),
            Text(warn, Point(self.left, low + 4.2), SMALL, bold=True, tag="footer"),
            Text(shortened(source, room, SMALL), Point(self.left, low), SMALL, tag="footer"),
            Text(count, Point(self.right, low), BODY, "right", bold=True, tag="footer"),
        ]


def shortened(text: str, width_mm: float, size: float, bold: bool = False) -> str:
    """Return the text, cut with dots where it is wider than the room [mm]."""
    if text_width(text, size, bold) <= width_mm:
        return text
    while text and text_width(text + "…", size, bold) > width_mm:
        text = text[:-1]
    return text.rstrip() + "…"


def sentence(text: Message | str) -> str:
    """Return a text of a trade as a sentence: first letter large, full stop at the end."""
    text = str(text).strip()
    if not text:
        return text
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?:" else ".")
