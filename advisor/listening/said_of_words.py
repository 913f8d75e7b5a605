"""The words by which `said_of` knows a likeness, a kind of things, a part that is none of the clutch's, and goods."""

from .word_lists import phrase_list, word_list

#: Vehicles as people call them.
VEHICLES = frozenset(
    word_list(
        "car cars van vans ute utes truck trucks lorry bike thing things one ones estate hatch hatchback saloon "
        "coupe "
        "wagon pickup motor tractor bus runabout barge machine monster beast toy racer"
    )
)
#: Words that end what is likened, before it reaches the fact.
ENDS_LIKENESS = frozenset(
    word_list(
        "when whenever or if in at from every with and but so i you it she he we they until is was are were has "
        "have had "
        "makes does did got because once only mine"
    )
)
LIKENED_TO = frozenset(word_list("a an my the some one your his her our any those these that"))
#: "Feels like", "looks like" and "more like" before something of which it is guessed that it is so.
NOT_LIKENING = frozenset(word_list("looks sounds more something nothing anything would i you we"))
NO_MORE = frozenset(word_list("no nothing not never little hardly barely"))
IN_PLACE = (
    ["instead", "of"],
    ["opposed", "to"],
    ["place", "of"],
    ["compared", "with"],
    ["compared", "to"],
    ["next", "to"],
)
#: Before "more like a": it is likened, and is not.
BEHAVES = frozenset(word_list("drives feels goes handles behaves pulls revs rides stops drive feel go looks"))
#: A flag of which this is the denial is none of this car.
NOT_THE = (["not", "unlike"], ["not", "the"], ["not", "that"], ["not", "his"])
#: Before "you" that is anybody.
WHENEVER = frozenset(word_list("once when if whenever before until till after unless because where"))
#: Behind a complaint that is no more.
CURED_BEHIND = phrase_list(
    "stopped, went away, disappeared, vanished, was cured, was fixed, was sorted, is cured, is sorted, is fixed, "
    "got sorted, "
    "got fixed, has gone, is gone, ceased, cleared up, cleared itself, is history, is no more, turned out, was "
    "only, was just, "
    "was down to, was caused by"
)
#: Beside these it stops and comes back.
WHEN_CURED = frozenset(word_list("when if as whenever until till while pedal press dip"))
CURES = frozenset(word_list("cured fixed stopped sorted cures fixes stops solved solves eliminated"))
NOT_CURED = frozenset(word_list("not never nothing"))
#: Machines with a clutch of their own.
MACHINES = frozenset(
    word_list(
        "mower lawnmower winch fan compressor aircon con chainsaw strimmer tractor digger press lathe mill bike "
        "motorbike "
        "scooter quad kart boat overrun sprag starter viscous slipper centrifugal torque lockup"
    )
)
THEIR = frozenset(word_list("the this that your their each every"))
#: Behind "the kit": it is his own, or what for it is.
OWN_KIT = frozenset(word_list("for in i we on must should has needs need my to that"))
#: Words that begin a sentence and tell nothing.
BEGINNINGS = frozenset(
    word_list("so well and but because see look ok right apparently obviously basically though cos as since yes no oh")
)
#: What has no single one in sight.
KINDS = frozenset(
    word_list(
        "ones engines motors lumps flywheels clutches gearboxes boxes cars vans trucks models types versions diesels "
        "petrols hybrids automatics turbos superchargers lorries bikes motorbikes motorcycles cables hydraulics "
        "slaves "
        "covers discs plates bearings setups systems drives"
    )
)
#: Before a kind of things: these are this car's, or it is told of something else.
OF_ONE = frozenset(
    word_list(
        "my our its it is has have got had was were this both two three four twin with on in for of by to new "
        "need want "
        "needs wants running runs and she he i we not no makes fitted does do did there"
    )
)
#: Of these there are several in one car.
OWN_PARTS = frozenset(word_list("plates discs covers bearings slaves cables hydraulics turbos"))
#: Of these with "the" before it as well: "the diesels have".
KINDS_WITH_THE = frozenset(word_list("ones diesels petrols hybrids automatics models versions"))
WHICH = frozenset(
    word_list(
        "the these those all most some such any old new newer older modern big small cheap heavy light early "
        "late other "
        "proper good bad little worn sintered organic solid single dual double"
    )
)
THEY_DO = frozenset(
    word_list(
        "are have make do eat need sit can will tend take last go get slip use cost run come wear weigh would want "
        "rattle pull kill hold never always usually normally often all generally like feel seem burn drag judder "
        "were "
        "had suit give rev lose work break sound bite live hate"
    )
)
ONE_DOES = frozenset(
    word_list(
        "is has gives makes needs takes means can will would does puts eats feels runs wants lasts rattles "
        "weighs costs "
        "never always usually normally should might gets goes sits works sounds uses"
    )
)
#: Beside these it is told of one after all.
OF_THIS = frozenset(word_list("mine fitted this what all in now it i my"))
TELL = frozenset(word_list("of is has got"))
#: Subjects that a fact of this car can have.
OWN_SUBJECTS = frozenset(word_list("it she mine i we my this"))
#: Before "these" and "those" that are no subject.
BEFORE_OBJECTS = frozenset(word_list("of on in for with like to at by from than"))
CAUSES = frozenset(word_list("gives give causes cause makes creates means brings"))
#: Behind a kind of things: it is no verb.
NO_VERBS = frozenset(
    word_list(
        "on in with and for at from off of to fitted please only or but now then as is too here there when by up "
        "down "
        "are were was this that , thanks not"
    )
)
#: One of a kind of things, by "a": "a self adjusting cover moves its ring".
ONE_OF_A_KIND = frozenset(
    word_list(
        "flywheel cover disc diesel petrol turbo hybrid supercharger car system setup clutch slave gearbox engine plate"
    )
)
#: Before a word of a fact: it is of another part than the clutch's or the engine's.
OF_OTHER_PARTS = frozenset(
    word_list(
        "throttle accelerator speedo handbrake choke bonnet brake jump gearshift shifter heater fridge dash "
        "radiator door "
        "boot tailgate suspension steering"
    )
)
PROMISED = frozenset(word_list("promised promises guaranteed guarantees"))
SHOPS_PEOPLE = frozenset(word_list("man lad mate colleague chap bloke guy girl boss other"))
SAID = frozenset(word_list("said says reckoned reckons told thought quoted"))
#: Between a subject and what it does.
ADVERBS = frozenset(
    word_list("just only always really still now then also sometimes often usually is has does a bit constantly never")
)
DETERMINERS = frozenset(word_list("the my his her our your"))
#: What a complaint may be told of besides the clutch's parts.
OWN_THINGS = frozenset(
    word_list(
        "car cars truck ute lorry bike motorbike kit release revs needle tacho rev counter gear gears first "
        "second third "
        "fourth fifth sixth reverse top lever noise rattle squeal whine squeak judder shudder shake vibration "
        "slip drag "
        "one lot bite point oil fluid leak smell racket sound wife missus husband son daughter lad lads mechanic "
        "garage "
        "fitter mate bloke front back floor bellhousing housing seal cable spring friction lining linings time day "
        "wagon bus tractor estate hatch hatchback coupe pickup beast girl lady old new other last same current "
        "present "
        "hill hills traffic lights road motorway speed power torque boost turbo self adjuster pedals clutches foot"
    )
)
ANYBODY = frozenset(word_list("anybody anyone whoever everybody everyone people those drivers folk nobody somebody"))
#: What somebody does to something, and to what of this car.
DOES_TO = frozenset(word_list("modified tuned changed standard original"))
OF_THE_CAR = frozenset(
    word_list("engine car motor turbo exhaust intake map ecu head lump van ute truck computer software cam cams")
)
#: Whose car that was: he had it for a while.
OTHERS_CARS = frozenset(word_list("borrowed rented hired crashed sold scrapped"))
#: Behind what causes something: it is told of this one.
OWN_OBJECTS = frozenset(word_list("it me mine my the her this a"))
#: Parts that make noises, slip and shake, and are none of the clutch.
OTHER_PARTS = frozenset(
    word_list(
        "belt belts tyre tyres tire tires brake brakes wiper wipers handbrake exhaust alternator diff differential "
        "driveshaft driveshafts propshaft prop cv joint joints suspension shocks shock damper dampers spring springs "
        "strut struts bush bushes subframe window windows door doors radio heater fan blower aircon compressor "
        "starter "
        "tensioner chain tappets lifters injectors pump steering rack mount mounts bumper undertray heatshield "
        "sunroof "
        "tailgate bonnet trailer caravan towbar hubcap caliper calipers pads drums seatbelt"
    )
)
#: What of the clutch or of the whole car a habit is told of.
CLUTCH_PARTS = frozenset(
    word_list(
        "clutch pedal it she car engine motor van plate disc cover bearing flywheel thing everything fork slave "
        "master "
        "cylinder gearbox box whole"
    )
)
#: Before a part that is only named by the way.
NO_SUBJECT = frozenset(word_list("no new without after since by"))
#: Of the brakes behind "rear", "front" and "brake".
DISCS = frozenset(word_list("disc discs pad pads"))
TOOLS = frozenset(
    word_list(
        "gun wrench ratchet drill compressor crane jack hoist winch tool tools driver impact "
        "generator grinder mower lawnmower chainsaw strimmer kettle"
    )
)
#: What weighs something and is no car; beside the others it is the car.
WEIGHED = frozenset(
    word_list(
        "pedal flywheel gearbox box clutch cover disc parcel package dog wife missus lever toolbox engine wheel "
        "wheels "
        "seat seats battery kit plate"
    )
)
WEIGHED_WHOLE = frozenset(word_list("it she car van ute truck shell mine trailer caravan boat that"))
ARTICLES = frozenset(word_list("a an the my out me old its that"))
GIVES_UP = frozenset(word_list("swapped swopped swap changed traded replaced exchanged ditched binned converted"))
#: What was nearly done.
DECIDED = frozenset(word_list("went bought had fitted got put chose ordered took picked ended did"))
#: Behind what is to be done yet.
ARRANGED = frozenset(word_list("booked ordered planned pencilled arranged scheduled coming"))
OTHER_LIFE = phrase_list(
    "learned to drive, learnt to drive, learned on, learnt on, passed my test, in my twenties, in my teens, in "
    "my thirties, "
    "when i was young, when i was younger, when i was a lad, when i was a kid, when i was a student, in the army, "
    "in the navy, in the forces, i work on, i worked on, work on all, last time i did, last one i did, first one "
    "i did, "
    "one i did, last job was, grew up with, grew up on, grew up in"
)
#: Before "a": what somebody had, and has no more.
ONCE_HAD = frozenset(word_list("had owned sold rented borrowed hired crashed drove rode scrapped"))
#: Before "had": it is told of this car.
OF_IT = frozenset(word_list("it she car engine motor van"))
DRIVERS = frozenset(word_list("i we they he she to and always only just mainly"))
DROVE = frozenset(word_list("drove drive"))
HAS = frozenset(word_list("got have has own run runs drives keep keeps use uses is"))
SOME = frozenset(word_list("a an two three four several loads some many few another lots both"))
#: What comes off another car.
OFF_IT = frozenset(word_list("plate cover disc flywheel clutch gearbox box bellhousing slave master"))
#: What is had besides.
AS_WELL = phrase_list("too, as well, also, at work, for work, another")
#: What is had done to a car that is kept.
CHANGED_ON = frozenset(word_list("fitted put installed done mapped on swapped"))
#: Nobody the caller knows of has seen it.
HEARSAY = phrase_list(
    "supposedly, allegedly, according to the last owner, according to the previous owner, according to the seller, "
    "according to the advert, according to the ad, according to the forum, according to the internet, according "
    "to the "
    "bloke, according to the man, according to the guy, according to the neighbour, according to the neighbor, "
    "according "
    "to the wife, according to the missus, according to my mate, according to my brother, according to my neighbour, "
    "according to somebody, according to someone"
)
#: What is told of goods.
FOR_SALE = phrase_list(
    "this kit comes, that kit comes, the kit comes, your kit comes, this kit has, that kit has, the kit has, "
    "your kit has, kit includes, kit includes a, kit says, listing says, on the tin, on the packet, on the label, "
    "on the wrapper, label says, label reads, in my hand, another job, catalogue lists, website lists, lists it, "
    "instructions say, leaflet says, leaflet that, leaflet shows, picture shows, diagram shows, picture on your, "
    "photo on your, blurb, box says, says on the box, "
    "advertised as, reviews say, reviews mention, one you sent, one they sent, you sent me"
)
