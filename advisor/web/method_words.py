"""The words of the page that says how we know: how each number is made, its limits, who to hire."""

from __future__ import annotations

#: Rows that say more than one of the words below.
MIXED = "in the row's own words"

STATES = {
    "verified": "read in a stored copy of the source",
    "cross-checked": "the text was not read, but the figure reproduces independent published numbers",
    "computed": "arithmetic on what the other rows say",
    "seen second-hand": "read where somebody restates the source, with its table or page; counted as not verified",
    MIXED: "such as: one value verified and another not; counted here as not verified",
    "common practice, no published source": "what the trade does; nobody publishes it",
    "assumed": "our own choice; it can be changed in the case",
    "from memory, unverified": "remembered, not looked up: treat it as a hint",
}

MADE = (
    (
        "Hot water",
        "People, bathrooms and fixtures give gallons a day and the busy hour; what you measured counts instead.",
    ),
    (
        "Cold water",
        "The water follows the year's air at your town with a lag; a reading at the tap counts instead.",
    ),
    (
        "Whether it keeps up",
        "The rating leads: a tank's first-hour rating, corrected for your set point and coldest water, against the "
        "busy hour; a tankless heater's full fire over the rise of the coldest month, against what runs at once. Each "
        "heater is also fitted to its label by running the federal test, then run through winter mornings of several "
        "sizes; the mornings of a year on which somebody's water runs below their temperature for over a minute move "
        "the verdict by a step at most: up to 12 it keeps up, up to 24 with care. High up a burner makes less.",
    ),
    (
        "Energy in a year",
        "Two numbers that describe a heater, its efficiency and its standing loss, are solved from the label of the "
        "federal test; then twelve months are worked with your water, your set point and your air.",
    ),
    (
        "Money",
        "Energy times the price on your bill, or the state's average of a stated month. Installed price: the plain "
        "swap plus each job that this house needs, each as a low, a typical and a high price.",
    ),
    (
        "Gas pipe",
        "The code's branch-length tables, and beside them the pressure followed from the meter to every appliance "
        "with all of them at full fire.",
    ),
    (
        "Vent and air",
        "The vent's category from the kind of heater; equivalent feet against the maker's limit; room air by the "
        "codes' volume methods.",
    ),
    ("Panel", "The service load by up to three ways of counting of the electrical code, before and after."),
    (
        "What is assumed",
        "Every default is listed with its reason, and each can be changed. A quote, a reading or a label that you "
        "give takes the place of the assumption.",
    ),
)

LIMITS = (
    "It is an estimate to talk over with an installer. It is not a design, a permit drawing or an inspection.",
    "It knows what was typed. It has not seen the flue, the panel, the pipe or the room.",
    "One family house or flat with its own heater. Not central systems, not swimming pools, not space heating from it.",
    "Codes differ from town to town and from edition to edition. Where a number here and the local code differ, the "
    "code counts; where the maker's instructions are stricter, they count.",
    "Prices are national ranges of stated years. Only a written quote is a price.",
    "Homes of one kind differ in hot water by about a third either way. A forecast for one home is a range.",
    "Rebates, tax credits and rates change. Look on the programme's own page on the day.",
    "Flue sizing for two appliances, chimneys outdoors and combustion air in tight houses need a professional with the "
    "tables and a draft gauge in hand.",
)

#: Work, who may usually do it, what to ask for.
HIRE = (
    (
        "Gas pipe, meter, regulator",
        "licensed gas fitter or plumber; the utility for meter and regulator",
        "permit, pressure test, the load with everything firing",
    ),
    (
        "Flue, vent, combustion air",
        "licensed plumber or heating contractor; a chimney professional for a liner",
        "draft test with fans running, who checks what stays on the flue",
    ),
    ("Circuits, panel, service", "licensed electrician", "a load calculation in writing before anything is ordered"),
    (
        "Heater, relief valve, expansion tank",
        "licensed plumber",
        "permit and inspection, the readings when it runs, the price in writing",
    ),
    ("Oil burner", "oil service technician", "combustion test, flue swept, damper set again"),
    ("Propane tank and regulators", "the propane supplier", "tank and regulator for the new load in the cold"),
)
