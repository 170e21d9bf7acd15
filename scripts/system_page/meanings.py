"""What each key of the system file is, for the brewer: by table ("" is the top) and key."""

from typing import Final

MEANINGS: Final[dict[tuple[str, str], str]] = {
    ("", "format"): "the version of this file format",
    ("", "name"): "what you call the whole system",
    ("", "units"): "what answers are shown in; the file itself may mix units",
    ("", "altitude"): "height above the sea: a gauge must read more where the air is thinner",
    ("Place", "name"): "how kegs and cylinders refer to it",
    ("Place", "temperature"): "how warm it is there; for kegs, the temperature of the beer at rest",
    ("Inside", "width"): "from left to right, between what sticks out",
    ("Inside", "depth"): "from the back wall to where the door's plane is, door open",
    ("Inside", "height"): "from the floor (not the step) to the ceiling or the rim under the lid",
    ("Inside", "opens"): "a door in front, or a lid on top; things are lifted in that way",
    ("Inside", "door_bulge"): "how far the shut door, with its shelves, reaches into the depth",
    ("Inside", "shelf"): "height of a shelf that stays in, from the floor; left out: none",
    ("Inside", "collar"): "height of a collar between rim and lid; only where a lid opens on top",
    ("StepInside", "where"): "the wall it lies along, or the corner it is in, seen from the front",
    ("StepInside", "width"): "from left to right; left out: from wall to wall",
    ("StepInside", "depth"): "from front to back; left out: from wall to wall",
    ("StepInside", "height"): "of its top above the floor",
    ("Hole", "wall"): "where it goes through",
    ("Hole", "diameter"): "its width; a gas line of 5/16 in wants about 5/8 in",
    ("Room", "name"): "what you call it",
    ("Room", "volume"): "its air: length by width by height",
    ("Room", "air_changes"): "how often an hour its air is renewed; a shut garage about 0.3",
    ("Room", "below_ground"): "a cellar or pit, where gas that leaks out stays",
    ("Cylinder", "name"): "how regulators refer to it",
    ("Cylinder", "size"): "by the CO2 it is rated for",
    ("Cylinder", "place"): "the name of the place it stands in; its gauge depends on that",
    ("Cylinder", "co2"): (
        'how much of its gas is CO2, the rest nitrogen, as `"25 %"` for stout gas; left out: '
        "straight CO2. See [blended gas](blend.md)"
    ),
    ("Cylinder", "contents"): "gas in it, if you know it; left out, with no weights either: full",
    ("Cylinder", "gross_weight"): "what the scale shows, regulator taken off; needs `tare`",
    ("Cylinder", "tare"): "its empty weight with the valve, stamped on the shoulder as TW",
    ("Cylinder", "valve"): (
        "its outlet, to be matched with the regulator's inlet; left out: what its size commonly "
        "has, see below"
    ),
    ("Cylinder", "requalified"): "its last test date, stamped on it; good for five years in the US",
    ("Cylinder", "used"): (
        "it came used, or nobody knows when its joints were last checked: upkeep asks for it first"
    ),
    ("Cylinder", "to_buy"): "planned, not there yet: it goes on the parts list",
    ("Regulator", "name"): "how kegs refer to it",
    ("Regulator", "cylinder"): "the name of the cylinder it is on",
    ("Regulator", "pressure"): "what it is set to now, as its gauge shows",
    ("Regulator", "max_pressure"): "the most it may be set to, or its relief valve's pressure",
    ("Regulator", "valve"): (
        "its inlet, to be matched with the cylinder's outlet; left out: what fits a cylinder of "
        "that size"
    ),
    ("Regulator", "outlet"): "its low-pressure end; left out: what is usual with such an inlet",
    ("Regulator", "check_valve"): "whether its outlet lets gas out but no beer in",
    ("Regulator", "gas_line"): "the line from it to the manifold, where it feeds several kegs",
    ("Regulator", "used"): "it came used, or nobody knows when it was last checked",
    ("Regulator", "to_buy"): "planned, not there yet",
    ("Beer", "name"): "how kegs refer to it",
    ("Beer", "style"): "for you; nothing is computed from it",
    ("Beer", "volumes"): "the carbonation you want, in volumes or g/L",
    ("Beer", "tolerance"): "how near is near enough; it decides the day a beer counts as ready",
    ("Beer", "og"): "original gravity; with `fg` it gives alcohol and extract",
    ("Beer", "fg"): "final gravity; goes with `og`",
    ("Beer", "gravity"): "what it reads now, if it still ferments; needs `og` and `fg`",
    ("Beer", "abv"): "alcohol by volume, where you do not know the gravities; not with `og`",
    ("Beer", "fermentation_temperature"): (
        "the warmest it has been since fermentation ended, which tells the CO2 left in it; left "
        "out: 20 °C"
    ),
    (
        "Beer",
        "ready_by",
    ): "the day you want to pour it, by noon; a quicker way is advised if needed",
    ("Beer", "ferments_in"): "how long it is in the fermenter before it can be packaged",
    ("Beer", "conditions_in"): "how long it is kept cold in the fermenter after that",
    ("Fermenter", "name"): "what you call it",
    ("Fermenter", "volume"): "the finished beer that a batch in it gives, yeast left behind",
    ("Fermenter", "to_buy"): "planned, not there yet: no brew is planned into it",
    ("Keg", "name"): "how taps refer to it",
    ("Keg", "kind"): "from the catalogue",
    ("Keg", "place"): "the name of the place it stands in",
    ("Keg", "regulator"): "the name of the regulator that feeds it",
    ("Keg", "beer"): "the name of the beer in it; left out: empty",
    ("Keg", "volume"): "beer in it; left out: the kind's usual fill",
    ("Keg", "carbonation"): "what it holds now; left out: what fermentation left",
    ("Keg", "temperature"): "how warm the beer is now; left out: as its place",
    ("Keg", "max_pressure"): "the rating marked on your keg; left out: the kind's",
    ("Keg", "stone"): "whether it has a carbonation stone, a porous tip that gas comes through",
    ("Keg", "spunding_valve"): (
        "whether you have a spunding valve for it, which lets off gas above a pressure"
    ),
    ("Keg", "gas_disconnect"): "left out: the one that fits the keg",
    ("Keg", "gas_line"): "the line that brings its gas; left out: to be bought",
    ("Keg", "used"): (
        "it came used, or nobody knows when it had new seals: upkeep asks for them before it is "
        "filled"
    ),
    ("Keg", "to_buy"): "planned, not there yet",
    ("Tap", "name"): "what you call it",
    ("Tap", "keg"): "the name of the keg it draws on",
    ("Tap", "line"): "the beer line, one piece or several, from the keg on; keys below",
    ("Tap", "rise"): "how far the faucet is above the middle of the keg; negative if below",
    ("Tap", "shank"): "what leads through the door or tower",
    ("Tap", "faucet"): "from the catalogue",
    ("Tap", "disconnect"): "left out: the one that fits the keg",
    ("Tap", "tower_temperature"): "how warm shank and faucet are; left out: as the keg's place",
    ("Tap", "pint_in"): "how long a US pint should take: the advised length is for this",
    ("Tap", "drinking"): "what is drunk from it, to tell how many weeks the gas lasts",
    ("Tap", "used"): "its line or faucet came used, or nobody knows when they were last cleaned",
    ("Tap", "to_buy"): "planned, not there yet: its line, shank and faucet are to be bought",
    ("Have", "part"): "a small part by its name in the catalogue or yours, or a line material",
    ("Have", "count"): "how many of it",
    ("Have", "bore"): "of line: the width inside",
    ("Have", "length"): "of line: how much of it",
    ("OwnPart", "name"): "what you call it",
    ("OwnPart", "ends"): "its two ends, by the names the catalogue gives them",
    ("OwnPart", "medium"): "what may run through it",
    ("OwnPart", "max_pressure"): "the pressure marked on it",
    ("OwnPart", "count"): "how many you have",
    ("Sensor", "name"): "what it calls itself when it sends a reading",
    ("Sensor", "of"): (
        "what it watches: `keg:`, `place:`, `cylinder:` or `tap:` and the name of the thing"
    ),
    ("Sensor", "measures"): "what its numbers are; flow is a running total of what went through",
    ("Sensor", "unit"): 'the unit its numbers are in: `"kg"`, `"degC"`, `"psi"`, `"mL"`',
    ("Sensor", "scale"): "what a number is multiplied by first: mL for each pulse, say",
    ("Sensor", "offset"): "what is added then, in `unit`",
    ("Sensor", "noise"): (
        "by how much it scatters while nothing happens, in `unit`; left out: 20 g, 0.2 °C, 1 kPa"
    ),
    ("Sensor", "topic"): "where its messages come on a broker, for `ullage listen`",
    ("Sensor", "value"): "where the number stands in a message that is JSON: `weight.gross`",
    ("Sensor", "time"): "where the moment stands in it; left out: when it came",
    ("Sensor", "writes"): "whether it may write down what it tells",
    ("Sensor", "pours"): "whether a weight that falls may be written down as a pour",
    ("LinePiece", "length"): "of this piece",
    ("LinePiece", "bore"): "the width inside, not outside",
    ("LinePiece", "material"): "from the catalogue",
    ("LinePiece", "temperature"): "where it runs through a warmer place; left out: as the keg's",
}
