"""What people type into one box for a place: each is the right place, or one clear sentence with choices."""

import pytest

from advisor.core.errors import InputError
from advisor.place.location import locate
from advisor.place.typed import read_typed
from advisor.report.words import LOCALES, say

#: Typed, and the place that is meant; states and towns as every map has them.
FOUND = """
55811 = Duluth, MN
 55811  = Duluth, MN
55811-1234 = Duluth, MN
55811 1234 = Duluth, MN
558111234 = Duluth, MN
2129 = Charlestown, MA
02129 = Charlestown, MA
501 = Holtsville, NY
ZIP 55811 = Duluth, MN
zip code: 55811 = Duluth, MN
C.P. 33139 = Miami Beach, FL
código postal 33139 = Miami Beach, FL
Duluth, MN 55811 = Duluth, MN
Duluth MN 55811 = Duluth, MN
Duluth, MN, 55811 = Duluth, MN
Duluth, Minnesota 55811 = Duluth, MN
Duluth MN 55811-1234 = Duluth, MN
duluth minnesota, 55811, usa = Duluth, MN
55811 Duluth = Duluth, MN
55811, Duluth, MN = Duluth, MN
55811 MN = Duluth, MN
55811 Minnesota = Duluth, MN
55811 USA = Duluth, MN
33139, Miami = Miami Beach, FL
Miami 33139 = Miami Beach, FL
10001 New York = New York, NY
New York 10001 = New York, NY
New York, New York 10001 = New York, NY
20001 Washington = Washington, DC
Washington, DC 20001 = Washington, DC
98101 Washington = Seattle, WA
Boston, 02129 = Charlestown, MA
123 Main St, Duluth, MN 55811 = Duluth, MN
12345 Miller Trunk Hwy, Duluth, MN 55811 = Duluth, MN
1 Elm Street Apt 4, Denver CO 80202 = Denver, CO
Duluth, MN = Duluth, MN
duluth mn = Duluth, MN
DULUTH MN = Duluth, MN
Duluth,MN = Duluth, MN
Duluth ,  mn = Duluth, MN
Duluth, M.N. = Duluth, MN
Duluth (MN) = Duluth, MN
Duluth/MN = Duluth, MN
Duluth - MN = Duluth, MN
Duluth, Minnesota = Duluth, MN
Duluth Minnesota = Duluth, MN
duluth, minnesota, usa = Duluth, MN
Duluth, MN, United States = Duluth, MN
Duluth, Minn. = Duluth, MN
Duluth MN. = Duluth, MN
"Duluth, MN" = Duluth, MN
MN Duluth = Duluth, MN
Minnesota, Duluth = Duluth, MN
Duluth GA = Duluth, GA
Portland Oregon = Portland, OR
Portland, OR = Portland, OR
portland or = Portland, OR
Portland, Ore. = Portland, OR
Portland, Maine = Portland, ME
Portland ME = Portland, ME
Houston, TX = Houston, TX
Houston Texas = Houston, TX
Houston, Alaska = Houston, AK
Springfield, IL = Springfield, IL
Springfield Illinois = Springfield, IL
Springfield Mass = Springfield, MA
Springfield, Mo. = Springfield, MO
Kansas City, MO = Kansas City, MO
Kansas City Kansas = Kansas City, KS
Kansas City Missouri = Kansas City, MO
New York = New York, NY
New York NY = New York, NY
New York, New York = New York, NY
New York City, NY = New York, NY
New York City = New York, NY
City of Chicago, IL = Chicago, IL
Nueva York, NY 10001 = New York, NY
Washington DC = Washington, DC
Washington, D.C. = Washington, DC
washington d.c. = Washington, DC
Washington, District of Columbia = Washington, DC
DC = Washington, DC
Washington, PA = Washington, PA
Seattle Washington = Seattle, WA
Seattle, Wash. = Seattle, WA
Vancouver WA = Vancouver, WA
Vancouver, Washington = Vancouver, WA
Charleston West Virginia = Charleston, WV
Charleston, W. Virginia = Charleston, WV
Charleston WV = Charleston, WV
Charleston SC = Charleston, SC
Charleston South Carolina = Charleston, SC
Charleston, S. Carolina = Charleston, SC
Raleigh, N.C. = Raleigh, NC
Raleigh North Carolina = Raleigh, NC
Raleigh, Carolina del Norte = Raleigh, NC
Fargo, North Dakota = Fargo, ND
Fargo, N. Dakota = Fargo, ND
Sioux Falls South Dakota = Sioux Falls, SD
Concord New Hampshire = Concord, NH
Newark, Nueva Jersey = Newark, NJ
Albuquerque, Nuevo México = Albuquerque, NM
Santa Fe New Mexico = Santa Fe, NM
Filadelfia 19103 = Philadelphia, PA
Providence, Rhode Island = Providence, RI
Saint Louis, MO = Saint Louis, MO
St. Louis, MO = Saint Louis, MO
St Louis Missouri = Saint Louis, MO
SAINT LOUIS MO = Saint Louis, MO
St. Paul, MN = Saint Paul, MN
Saint Paul Minnesota = Saint Paul, MN
Mount Vernon, NY = Mount Vernon, NY
Mt. Vernon, NY = Mount Vernon, NY
Mt Vernon New York = Mount Vernon, NY
Fort Worth, TX = Fort Worth, TX
Ft. Worth, TX = Fort Worth, TX
ft worth texas = Fort Worth, TX
Ft Lauderdale FL = Fort Lauderdale, FL
Fort Lauderdale, Fla. = Fort Lauderdale, FL
Sault Ste. Marie, MI = Sault Sainte Marie, MI
Sault Sainte Marie Michigan = Sault Sainte Marie, MI
North Las Vegas NV = North Las Vegas, NV
N. Las Vegas, Nevada = North Las Vegas, NV
W Palm Beach FL = West Palm Beach, FL
West Palm Beach, Florida = West Palm Beach, FL
E. Lansing, MI = East Lansing, MI
S. San Francisco, CA = South San Francisco, CA
Coeur d'Alene, ID = Coeur D Alene, ID
Coeur d’Alene Idaho = Coeur D Alene, ID
O'Fallon, MO = O Fallon, MO
Winston-Salem, NC = Winston Salem, NC
Winston Salem NC = Winston Salem, NC
Wilkes-Barre PA = Wilkes Barre, PA
San José, CA = San Jose, CA
San Jose California = San Jose, CA
Cañon City, CO = Canon City, CO
Canon City Colorado = Canon City, CO
Española NM = Espanola, NM
Los Angeles, CA = Los Angeles, CA
los angeles california = Los Angeles, CA
Los Ángeles, Calif. = Los Angeles, CA
Las Vegas, NM = Las Vegas, NM
Las Vegas Nevada = Las Vegas, NV
Ontario, CA = Ontario, CA
Ontario Oregon = Ontario, OR
Toronto, OH = Toronto, OH
Oklahoma City OK = Oklahoma City, OK
Oklahoma City, Oklahoma = Oklahoma City, OK
Salt Lake City, UT = Salt Lake City, UT
Iowa City Iowa = Iowa City, IA
Michigan City, Indiana = Michigan City, IN
Virginia, MN = Virginia, MN
Indiana, PA = Indiana, PA
California, MO = California, MO
Nevada, MO = Nevada, MO
Delaware, Ohio = Delaware, OH
Wyoming, MI = Wyoming, MI
Brooklyn NY = Brooklyn, NY
Bronx, NY = Bronx, NY
Pendleton OR = Pendleton, OR
Idyllwild, CA = Idyllwild, CA
Truckee California = Truckee, CA
Leadville, CO = Leadville, CO
Honolulu, HI = Honolulu, HI
Honolulu Hawai'i = Honolulu, HI
Anchorage AK = Anchorage, AK
Nome Alaska = Nome, AK
San Juan, PR = San Juan, PR
San Juan, Puerto Rico = San Juan, PR
00901 = San Juan, PR
Ponce Puerto Rico = Ponce, PR
Mayagüez, PR = Mayaguez, PR
Punxsutawney = Punxsutawney, PA
Truth or Consequences, NM = Truth Or Consequences, NM
29 Palms CA = 29 Palms, CA
"""

#: Typed, the sentence that answers it, and the first thing to choose; nothing where there is none.
REFUSED = """
 = nothing =
, = nothing =
Houston = several = Houston, TX
houston = several = Houston, TX
Springfield = several = Springfield, IL
Portland = several = Portland, OR
Washington = several = Washington, DC
Kansas City = several = Kansas City, MO
Miami = several = Miami, FL
Duluth = several = Duluth, MN
Minnesota = state_alone = Minneapolis, MN
MN = state_alone = Minneapolis, MN
NY = state_alone = New York, NY
Virginia = state_alone = Richmond, VA
Puerto Rico = state_alone = San Juan, PR
Mineapolis, MN = not_in_state = Minneapolis, MN
Pitsburgh PA = not_in_state = Pittsburgh, PA
Albequerque, NM = not_in_state = Albuquerque, NM
Cincinatti Ohio = not_in_state = Cincinnati, OH
Philidelphia = no_town = Philadelphia, PA
Los Angeles, LA = not_in_state = Los Angeles, CA
Duluth, TX = not_in_state = Duluth, MN
Qwertyville = no_town =
SW1A 1AA = no_town =
asdf, zz = no_town =
00000 = unknown_zip = 00601
80200 = unknown_zip = 80202
12 = no_zip =
55811 WI = zip_elsewhere = 55811
Superior, WI 55811 = zip_elsewhere = 55811
M5V 2T6 = canada =
m5v2t6 = canada =
Toronto, Ontario = canada =
Toronto ON = canada =
Toronto, ON M5V 2T6 = canada =
Montréal, Québec = canada =
Vancouver, BC, Canada = canada =
Calgary Alberta = canada =
APO AE 09012 = military =
FPO AP 96602 = military =
09012 = military =
APO AE = military =
Hagatna, GU = no_weather =
96799 = no_weather =
Pago Pago, American Samoa = no_weather =
Saipan MP = no_weather =
"""


def _rows(text):
    return [tuple(part.strip(" ") for part in line.split(" = ")) for line in text.strip("\n").split("\n")]


@pytest.mark.parametrize(("typed", "place"), [(line.rsplit(" = ", 1)) for line in FOUND.strip("\n").split("\n")])
def test_what_is_typed_is_the_place_that_is_meant(typed, place):
    found = locate(city=typed)
    assert f"{found.city}, {found.state}" == place


@pytest.mark.parametrize("line", REFUSED.strip("\n").split("\n"))
def test_what_is_no_place_is_answered_in_one_sentence(line):
    typed, code, first = line.rsplit("=", 2)
    with pytest.raises(InputError) as caught:
        locate(city=typed.removesuffix(" "))
    error = caught.value
    assert error.finding.code == f"place.refused.{code.strip()}"
    assert (error.choices[0][: len(first.strip())] if first.strip() else "") == first.strip()
    for language in LOCALES:
        told = say(error.finding, language=language)
        assert "place." not in told and "_" not in told and "\n" not in told


def test_there_are_two_hundred():
    assert len(_rows(FOUND)) + len(_rows(REFUSED)) >= 200


@pytest.mark.parametrize(("typed", "choice"), [("Houston", "Houston, TX"), ("Mineapolis MN", "Minneapolis, MN")])
def test_every_choice_can_be_clicked(typed, choice):
    with pytest.raises(InputError) as caught:
        locate(city=typed)
    assert choice in caught.value.choices
    for one in caught.value.choices:
        assert str(locate(city=one).city)


def test_the_largest_comes_first():
    with pytest.raises(InputError) as caught:
        locate(city="Springfield")
    assert caught.value.choices[0] == "Springfield, IL"
    assert len(caught.value.choices) <= 6


@pytest.mark.parametrize("letter", ["a ", "st ", "1", "a1a ", "55811 ", ",", "-", "é", "north "])
def test_reading_takes_no_longer_than_its_length(letter):
    """What is too long is refused at its length; what is not is read whole."""
    with pytest.raises(InputError, match="too long"):
        read_typed(letter * 100_000)
