"""Windows of a phone and a desk, the pages, and the way through the questions."""

PHONE = {"viewport": {"width": 390, "height": 844}, "user_agent": "Mozilla/5.0 (Linux; Android 15) Mobile"}
DESK = {"viewport": {"width": 1280, "height": 900}}
PAGES = (
    "",
    "compare",
    "keep-up",
    "work",
    "money",
    "gas-line",
    "vent-and-air",
    "book",
    "job",
    "offers",
    "panel-and-drain",
    "trainer",
    "rebate-program",
    "method",
)


def enter(window, field, text):
    """Type and press Enter, which goes on."""
    field.fill(text)
    field.press("Enter")
    window.settle()


def answer_all(window, *, where="Phoenix, AZ", people="3", upto=None, looked_at=None):
    """The questions of a house with an electric tank, until one of them; each is looked at."""
    window.press("Start with my house")
    ways = {
        "What is wrong?": lambda: window.press("No hot water at all"),
        "Where is the house?": lambda: enter(window, window.page.get_by_label("ZIP code, or city and state"), where),
        "How many people live there?": lambda: enter(window, window.page.locator(".st-key-q_people input"), people),
        "What heats your water now?": lambda: window.press("A tank with a thick cable, no pipe for fumes"),
        "Which fuels come into the house?": lambda: window.press("Next"),
        "How many gallons does the old tank hold?": lambda: window.press("I don't know"),
        "Did the old one run out of hot water while it worked?": lambda: window.press("Sometimes"),
        "Where does it stand?": lambda: window.press("Garage"),
    }
    for question, way in ways.items():
        window.sees(question)
        if looked_at:
            looked_at(window)
        if question == upto:
            return
        way()
    window.sees("Check your answers")
    if looked_at:
        looked_at(window)
    window.press("Show the answer")
    window.sees("What to do today")
