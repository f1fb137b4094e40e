# SPDX-License-Identifier: GPL-3.0-or-later
"""A user's hand inside a real Blender: mouse and keys through the X server.

Scenarios are generators: a bare `yield` gives Blender a moment to draw and to take events, a
number as many seconds at least, a path has that file opened. Where a step takes several moments it
is a generator too: `yield from hand.click("plumbline.check")`.

Buttons are found without knowing where they stand: the mouse rests on one place after another, and
Blender itself says which button is under it (what it copies as a button's Python command, or as the
path of its property). Sweeps remember what they met, so that most buttons are found at once.
"""

import subprocess

import bpy
from eyes import SCREEN_HEIGHT, Eyes, ScenarioError
from x_server import server

TAB = "Plumbline"
# A row of buttons is 20 pixels high at scale 1: no step may leave one out.
ROW, SETTLE_S, DRAG_S = 14, 0.03, 0.15
# Where a sweep meets nothing, another one lets the mouse rest for so long.
SLOWLY_S, VERY_SLOWLY_S = 0.15, 0.6
# Tabs take some of the width: Check is left of the middle, and Watch at it.
COLUMNS = (0.38, 0.13, 0.85)
PAGES, SCROLLED_S = 12, 0.1
LEFT = "1"


class Hand(Eyes):
    """One hand, and the eyes that lead it.

    is_looking   whether the mouse goes from place to place: nothing changes but what is under it
    """

    def __init__(self, folder):
        super().__init__(folder)
        self._met, self._page, self.is_looking = {}, 0, False

    @property
    def session(self):
        return bpy.context.window_manager.plumbline

    def open_sidebar(self):
        """Show our tab of the sidebar."""
        self.area.spaces.active.show_region_ui = True
        yield from self.until(lambda: self.shows_tab(TAB), f"The sidebar has no tab {TAB}")
        yield from self.drawn()
        yield from self.to_top()

    def shows_tab(self, tab):
        """Show a tab of the sidebar, which knows its tabs once it was drawn; whether it could."""
        self.area.tag_redraw()
        try:
            self.region().active_panel_category = tab
        except (AttributeError, TypeError):
            return False
        return True

    def move(self, x, y, region):
        """Rest the mouse at a place of a region, in its pixels from its lower left corner."""
        across = self.window.x + region.x + x
        down = SCREEN_HEIGHT - (self.window.y + region.y + y) - 1
        server().move(int(across), int(down))

    def away(self):
        """Rest the mouse in the middle of the 3D view, where it lights nothing."""
        region = self.region("WINDOW")
        self.move(region.width / 2, region.height / 2, region)
        yield SETTLE_S

    def press(self, *keys):
        """Press keys one after the other, as xdotool names them."""
        _xdotool("key", *keys)
        yield SETTLE_S

    def press_mouse(self):
        """Click where the mouse is."""
        _xdotool("click", LEFT)
        yield SETTLE_S

    def press_drawn(self, *keys):
        """Press keys that change what the window shows, and wait until they have."""
        before = self.seen()
        yield from self.press(*keys)
        yield from self.drawn(before)

    def type(self, text):
        """Type a text, letter by letter, and wait until it stands there."""
        before = self.seen()
        _xdotool("type", "--delay", "30", text)
        yield from self.drawn(before)

    def click(self, wanted, *, columns=COLUMNS, page=0, rests=SETTLE_S):
        """Click on the button whose command or path holds that text."""
        yield from self.find(wanted, columns=columns, page=page, rests=rests)
        _xdotool("click", LEFT)
        yield SETTLE_S

    def click_opens(self, wanted, *, columns=COLUMNS):
        """Click on the button of that text, and wait for what comes up in the window."""
        yield from self.find(wanted, columns=columns)
        before = self.seen()
        _xdotool("click", LEFT)
        yield SETTLE_S
        yield from self.drawn(before)

    def click_at(self, x, y):
        """Click on a place of the sidebar, in its pixels from its lower left corner."""
        self.move(x, y, self.region())
        yield SETTLE_S
        _xdotool("click", LEFT)
        yield SETTLE_S

    def drag(self, start, by):
        """Drag sideways from an x of the sidebar, at half its height: its edge moves along."""
        left, middle = self.region().x + start, self.region().height / 2
        self.move(start, middle, self.region())
        yield DRAG_S
        _xdotool("mousedown", LEFT)
        for share in (0.3, 0.7, 1.0):
            yield DRAG_S
            self.move(left + share * by - self.region().x, middle, self.region())
        yield DRAG_S
        _xdotool("mouseup", LEFT)
        yield DRAG_S

    def find(self, wanted, *, columns=COLUMNS, page=0, rests=SETTLE_S):
        """Rest the mouse on the button whose command or path holds that text: looked for from a
        page of the sidebar on, with the mouse resting so long, and then from the top."""
        yield from self.to_top()
        for name, (x, y, met) in list(self.spots().items())[::-1]:
            if wanted in name:
                yield from self._to_page(met)
                if (yield from self._is_at(wanted, x, y)):
                    return
        for first, pause in ((page, rests), (0, SLOWLY_S), (page, VERY_SLOWLY_S)):
            yield from self._to_page(first)
            if (yield from self._sweep_pages(wanted, columns, pause)):
                return
        raise ScenarioError(
            f"There is no button {wanted!r} in the sidebar, only {sorted(self.spots())}."
        )

    def _sweep_pages(self, wanted, columns, rests):
        for _ in range(PAGES):
            if (yield from self._sweep(wanted, columns, rests)):
                return True
            if not (yield from self.next_page()):
                break
        return False

    def _sweep(self, wanted, columns, rests):
        region = self.region()
        for share in columns:
            for y in range(region.height - ROW, ROW // 2, -ROW):
                if (yield from self._is_at(wanted, share * region.width, y, rests)):
                    return True
        return False

    def _is_at(self, wanted, x, y, rests=SETTLE_S):
        """Whether that button is there: asked twice, as the mouse may come from it."""
        self.move(x, y, self.region())
        self.is_looking = True
        yield rests
        self.is_looking = False
        name = self.under_mouse()
        if wanted in name:
            yield SETTLE_S
            name = self.under_mouse()
        if name:
            self.spots().pop(name, None)
            self.spots()[name] = (x, y, self._page)
        return wanted in name

    def spots(self):
        """Where buttons were met in this window, and on which page of the sidebar, the last one
        last; they may have moved since."""
        return self._met.setdefault(self.window_number, {})

    def under_mouse(self):
        """The command or the property's path of the button under the mouse; "" for none."""
        manager = bpy.context.window_manager
        kept, said = manager.clipboard, []
        with bpy.context.temp_override(area=self.area, region=self.region()):
            for ask in (bpy.ops.ui.copy_python_command_button, bpy.ops.ui.copy_data_path_button):
                if ask.poll():
                    manager.clipboard = ""
                    ask()
                    said.append(manager.clipboard)
        manager.clipboard = kept
        return " ".join(said)

    def to_top(self):
        """Scroll the sidebar up to its beginning."""
        before, self._page = self._top(), 0
        for _ in range(PAGES):
            self._scroll(bpy.ops.view2d.scroll_up, page=True)
        yield SCROLLED_S if self._top() != before else SETTLE_S

    def _to_page(self, page):
        """Scroll to a page, counted from 0; to the last one, where the sidebar has less."""
        if self._page > page:
            yield from self.to_top()
        while self._page < page:
            if not (yield from self.next_page()):
                break

    def next_page(self):
        """Scroll the sidebar down by nearly its height; whether anything moved.

        The wheel would scroll the list where the mouse is over it.
        """
        before = self._top()
        self._scroll(bpy.ops.view2d.scroll_down, page=True)
        self._scroll(bpy.ops.view2d.scroll_up)  # by 40 pixels, so that no line is halved twice
        moved = self._top() < before
        self._page += moved
        if not moved:
            self._scroll(bpy.ops.view2d.scroll_down)
        yield SCROLLED_S if moved else SETTLE_S
        return moved

    def _scroll(self, by, **how):
        with bpy.context.temp_override(area=self.area, region=self.region()):
            by(**how)

    def _top(self):
        """Where the sidebar is scrolled to."""
        return round(self.region().view2d.region_to_view(0, 0)[1])


def _xdotool(*words):
    subprocess.run(["xdotool", *words], check=True)
