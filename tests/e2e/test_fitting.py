"""A boat with an outboard, from nothing to a clean one, by touch on an upright tablet; and by keys."""

from dataclasses import dataclass, field

from playwright.sync_api import Page, expect

from tests.e2e.calm import still
from tests.e2e.conftest import OpenPage

MOST_ACTIONS = 120
"""Fills, choices and touches for the whole boat."""
BAR = "Negative bus: next free stud"


@dataclass
class Hand:
    """One person at the page, whose every fill, choice and touch is counted."""

    page: Page
    done: int = field(default=0)

    def touch(self, button: str) -> None:
        """Touch a button or a link."""
        self.page.locator(button).tap()
        self.done += 1

    def part(self, word: str, name: str, **answers: str) -> None:
        """Put a part in."""
        if self.page.locator("#fit-word").input_value() != word:
            self.page.locator("#fit-word").select_option(word)
            self.done += 1
            expect(self.page.locator("#fit-part [name=what]")).to_have_value(word)
        self._fill("part", {"name": name, **answers})
        self.touch("#fit-part-in")
        expect(self.page.locator("#fitting-told")).to_have_text(f"{name} is in.")

    def cable(self, **answers: str) -> None:
        """Put a cable in."""
        aboard = self.page.locator("#fit-cables tbody th").count()
        self._fill("cable", answers)
        self.touch("#fit-cable-in")
        expect(self.page.locator("#fitting-told")).to_have_text("The cable is in.")
        expect(self.page.locator("#fit-cables tbody th")).not_to_have_count(aboard)

    def _fill(self, form: str, answers: dict[str, str]) -> None:
        for name, text in answers.items():
            line = self.page.locator(f"#{form}-{name.replace('_', '-')}")
            if line.evaluate("one => one.tagName") == "SELECT":
                line.select_option(text)
            else:
                line.fill(text)
            self.done += 1


def begin_blank(page: Page) -> Hand:
    """A blank boat, on its page for putting in."""
    hand = Hand(page)
    page.goto("/boats")
    hand.touch("#new-boat")
    page.locator("#new-name").fill("Plover")
    page.locator("#pattern-blank").check()
    page.locator("#new-length").fill("5.5")
    hand.done += 3
    hand.touch("#new-begin")
    hand.touch("#place-fitting")
    expect(page.locator("#fitting")).to_be_visible()
    return hand


def test_the_outboard_boat_is_built_from_blank_to_clean_in_under_120_actions(open_page: OpenPage) -> None:
    page = open_page("tablet")
    hand = begin_blank(page)
    hand.part("battery", "Battery", chemistry="agm", capacity_ah="75", cranking_a="680", use="start")
    hand.part("battery-switch", "Switch", continuous_a="275", cranking_a="1000")
    hand.part("busbar", "Negative bus", studs="10", rated_a="250")
    hand.part("panel", "Panel", ways="Plotter, 5\nVHF, 10\nLights, 5", devices="blade", bar="no")
    hand.cable(
        tail="Battery: positive", head="Switch: in", size="2 AWG", length="0.4", colour="red", fuse="200"
    )
    hand.cable(tail="Switch: out", head="Panel: way Plotter", length="0.1")
    hand.touch("#fit-undo")
    expect(page.locator("#fitting-told")).to_have_text("Taken back.")
    hand.cable(tail="Switch: out", head="Panel: Main section feed", size="8 AWG", length="2.2", fuse="50")
    hand.cable(tail="Battery: negative", head=BAR, size="2 AWG", length="0.6", colour="black")
    hand.part(
        "outboard",
        "Outboard",
        running_a="110",
        inrush_a="360",
        tail="Switch: out",
        head=BAR,
        size="2 AWG",
        length="1",
    )
    hand.part(
        "electronics",
        "Plotter",
        power_w="18",
        needs_v="9",
        tail="Panel: way Plotter",
        size="14 AWG",
        length="2",
    )
    hand.part("radio", "VHF", power_w="7", needs_v="9.6", tail="Panel: way VHF", length="2.2")
    hand.part("navigation-lights", "Lights", power_w="10", tail="Panel: way Lights", length="3.5")

    assert hand.done < MOST_ACTIONS
    hand.touch("#place-findings")
    page.wait_for_url("**/findings*")
    still(page)
    expect(page.locator("main")).to_contain_text("Findings")
    expect(page.locator("main")).not_to_contain_text("danger")
    page.goto(page.url.replace("/findings", "/lists"))
    assert page.locator("#cable-list tbody tr").count() == 13


def test_a_part_is_put_in_and_taken_out_by_keys_alone(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto("/new-boat")
    page.locator("#new-name").focus()
    page.keyboard.type("Plover")
    page.locator("#pattern-blank").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    page.wait_for_url("**/boats/*")
    page.locator("#place-fitting").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/fitting")
    page.locator("#part-name").focus()
    page.keyboard.press("ControlOrMeta+a")  # it has the name that the kind suggests
    page.keyboard.type("Battery")
    page.keyboard.press("Enter")

    expect(page.locator("#fitting-told")).to_have_text("Battery is in.")
    page.locator("#fit-parts button").first.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#fit-parts tbody")).to_have_text("None yet.")
    page.locator("#fit-undo").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#fit-parts tbody th")).to_have_text("Battery")
