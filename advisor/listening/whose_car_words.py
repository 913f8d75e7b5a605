"""The words by which `whose_car` knows whose car a part of a sentence is about."""

from .word_lists import phrase_list, word_list

#: What may stand before what a part of a sentence is of.
LEADING = frozenset(
    word_list(
        "and but so well yeah yes no okay ok oh look hello hi hey now right anyway because although though whereas "
        "while then just , mate love only"
    )
)
#: Behind "this": this car is spoken of again.
OF_THIS = frozenset(word_list("is has makes runs does weighs one here thing car"))
#: Behind "this is": no car.
NOT_THIS = frozenset(word_list("with on at what how why when before after in where not because"))
#: What somebody does with the car that is spoken of.
DO_WITH_IT = frozenset(word_list("wants uses drives has needs bought takes had drove used wanted keeps"))
#: Before a car: another of the caller's, where he tells which it is about.
WHICH_CAR = frozenset(word_list("race company work hire courtesy track show project wife rally other parents"))
RINGS_ABOUT = phrase_list(
    "i am calling about, i am ringing about, i am phoning about, i am asking about, i am enquiring about, calling "
    "about is, i am asking for the, i am ringing for the, i rang about, i called about, i need the clutch for, it is "
    "about the, this is about the"
)
#: Before a vehicle: it is none that the caller rings about.
NOT_THIS_CAR = frozenset(word_list("first previous other second spare earlier"))
#: By these somebody who is named has something.
HAVING = frozenset(
    word_list(
        "is was has have had got gets are were runs run makes make made does did weighs tows tow drives puts put "
        "pulls slips judders uses use wants gives boasts goes came comes"
    )
)
#: No subject with one of these is another car: the speaker, this car, what it is made of.
OF_THE_CAR = frozenset(
    word_list(
        "i we it she this mine ours you what which who there here clutch engine motor lump pedal gearbox box "
        "flywheel "
        "turbo cover disc plate bearing slave master cable fork shaft spline splines diff axle drive wheels "
        "tyres tyre "
        "wheel boost torque power noise bite weight mass trailer caravan boat horsebox load hill hills road drive "
        "driveway lane traffic budget pressure car van truck ute thing everything nothing that all rest gear gears "
        "first reverse neutral ratio final job bellhousing housing float crank thrust tune map remap chip exhaust "
        "launch steering brakes ride redline limiter dyno rollers sheet printout transmission trans input output "
        "release throwout linkage travel stop play oil fluid book handbook manual brochure"
    )
)
#: Those who live or work near, as somebody who has a car of his own.
NEARBY = phrase_list(
    "next door, across the road, over the road, down the road, up the road, across the street, down the street, up "
    "the street, over the way, two doors down, few doors down, doors down, doors up, down the lane, up the lane, "
    "down the pub, at the pub, at work, from work, at the club, in the club, in our club, at our club, round the "
    "corner, around the corner, in my street, on my street, in our street, on our street, in the village, upstairs, "
    "opposite, number one, number two, number three, number four, number five, number six, number seven, number "
    "eight, number nine, number ten, number twelve, the neighbours, the neighbors, the folks, in the office, on the "
    "estate, on our road, on my road"
)
#: Whose word or work it is, and no car of theirs.
TRADE = frozenset(
    word_list(
        "garage workshop shop tuner tuners mechanic mechanics fitter dealer specialist company firm place quote "
        "price "
        "supplier factors parts"
    )
)
#: What passes between somebody and the caller: what follows is of the caller's car.
DEALS = frozenset(
    word_list(
        "given handed showed shown passed left sell sells sold gave give gives lent lend offered offers offering "
        "told tells asked asks recommended suggested sent rang said swears says bought"
    )
)
#: By these somebody hands the caller what he is to read out, and what that is.
HANDS_OVER = frozenset(
    word_list(
        "sent texted emailed messaged given gave gives handed hands wrote written writes jotted "
        "scribbled noted put passed left printed"
    )
)
#: What somebody of the shop did with a part of this car.
FINDS = frozenset(word_list("passed checked measured inspected tested examined looked"))
WRITTEN = frozenset(
    word_list("paper note notes list details figures slip scrap sheet card message text email instructions")
)
OPINIONS = frozenset(
    word_list("assumes assume thinks think thought reckons reckon reckoned believes believe guesses swears")
)
#: Before somebody's name: whose he is.
BEFORE_OWNERS = frozenset(word_list("my me our the a her his old little elderly poor dear young good own best mates"))
IT_IS = (["it", "is"], ["this", "is"], ["car", "is"], ["van", "is"], ["truck", "is"], ["got", "a"], ["have", "got"])
#: By these somebody is rung for, or what is bought is for him.
RINGS = frozenset(
    word_list(
        "ringing ring helping help helps doing fixing fix sorting sort buying buy getting looks calling call phoning "
        "phone asking ask enquiring inquiring speaking writing belongs behalf clutch kit something looking after "
        "inquire enquire typing messaging"
    )
)
FOR = frozenset(word_list("for about of regarding to after helping up"))
IS_FOR = (["it", "for"], ["is", "for"], ["is", "about"], ["not", "for"])
AGED = frozenset(word_list("old little new wee"))
HAD_ME_RING = phrase_list(
    "asked me to ring, asked me to call, asked me to phone, asked me to ask, told me to ring, told me to call, "
    "has asked me, got me to ring, got me to call, wants me to ring, wants me to call, wants me to ask, sent me"
)
#: Of somebody for whom the caller rings: this car.
THEIRS = frozenset(phrase_list("hers, theirs, his car, her car, their car"))
FOR_A_LIVING = phrase_list("for a living, at work, for work, by day, for a job, for my job, for the council")
#: Behind "my son's": his is the car that is spoken of; and how they have one.
OF_THEIRS = frozenset(word_list("is has was makes runs had does weighs slips judders"))
THEY_HAVE = frozenset(word_list("drives owns bought drove owned races rides"))
#: Of the caller's house: where no other car is named, a trouble that is told of theirs is what is rung about.
OF_THE_HOUSE = frozenset(
    word_list("son daughter wife husband missus girlfriend boyfriend partner dad father mum mother")
)
TROUBLES = frozenset(
    word_list(
        "slips slipping judders juddering shudders shuddering drags dragging grabs grabbing snatches squeals rattles "
        "chatters hold knackered shot"
    )
)
#: Beside one of these it is a tale, or another car is spoken of as well.
NOT_THEIRS = frozenset(
    word_list(
        "i we me us mine ours our you your used was were had until before old other same if says said reckons "
        "told thinks never not video forum this another instead what how why which last ago sold"
    )
)
#: With what somebody begins to speak.
GREETINGS = frozenset(word_list("um uh er erm morning afternoon evening good there hiya howdy so ."))
