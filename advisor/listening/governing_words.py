"""The words by which `governing` knows whose word a statement hangs on, what is only wished, and whose car it is of."""

from .word_lists import phrase_list, word_list

#: Parts of this car that a statement may be of.
THINGS = frozenset(
    word_list("clutch engine motor car pedal gearbox box thing lump van ute truck flywheel turbo bearing bellhousing")
)
#: What is hoped is not so.
HOPED = frozenset(
    word_list("hope hopes hoping hoped wish wishes wished wishing like love dream dreaming want wanted prefer")
)
#: Words before a subject after which nothing is said to be so.
SUPPOSED = frozenset(
    phrase_list(
        "maybe, perhaps, possibly, supposing, imagine, assume, assuming, pretend, whether, if, though, unless, "
        "unlikely, possible, in case, no way, doubt, doubts, doubtful, wonder, wondering, wonders, forget, forgot, "
        "afraid, worried, worry, fear, surprised, case, even if, only, has it, had it, provided, lest, chance"
    )
)
#: Verbs of saying and thinking.
THOUGHT = frozenset(
    word_list(
        "think thinks thought reckon reckons reckoned say says said saying swear swears swore claim claims claimed "
        "believe believes believed hear hears heard read tell tells told guess guesses bet bets promise promised "
        "promises assume assumes insist insists insisted remember remembers understand gather mentioned mentions "
        "suggested suggests advertised convinced suppose expect expects suspect suspects know knows sure certain"
    )
)
#: Those of them that are good enough where the speaker himself says so.
SURE = frozenset(word_list("suppose think thought reckon say said guess believe bet know sure certain suspect saying"))
#: Those whose word is good: they measured it or work at it.
KNOWERS = frozenset(
    word_list(
        "tuner dyno garage mechanic mechanics shop fitter workshop handbook book manual scales weighbridge rollers "
        "sheet "
        "printout specialist builder logbook plate papers document documents dealer invoice rolling"
    )
)
DENIED = frozenset(word_list("not never no nobody without hardly"))
AUXILIARIES = frozenset(
    word_list("does do did is was will would can could should has have had certainly definitely really actually still")
)
#: Words that turn what a denial before them denies.
TURNS = frozenset(word_list("but because when so then if unless until till"))
#: Beside these a denial tells how much it is: "does not make more than".
COMPARED = frozenset(word_list("more over above under below less far quite exactly only just exceed"))
#: Verbs after "I'd" and "it'd" that put a number forward: "I'd say about four hundred".
REASONABLE = frozenset(word_list("say reckon guess estimate think call imagine put suggest rather better"))
#: Participles of the had in "I'd had it mapped".
PARTICIPLES = frozenset(word_list("had been got done put bought gone made built taken given run left come lost worn"))
WISHED = phrase_list(
    "options were, options are, choice was between, choice is between, swore by, swears by, swear by, fancy, "
    "fancied, am after, are after, always wanted, do with, over the moon "
    "with, happy with, pleased with, "
    "toying with, toyed with, "
    "idea of, dream of, dreaming of, dreaming about, dreams of, give my, sell my, sell the, swap my, swap the, "
    "kill for, "
    "wish for, wishing for, longing for, hankering after, hanker after, drooling over, begging for, crying out for, "
    "let me have, let me get, let us have, allowed, jealous of, envy, lust after, lusting after, in love with, "
    "christmas is, birthday is"
)
PLANNED = phrase_list(
    "turn it into, turn her into, make it into, make her into, convert it, build it into, build her into, saving "
    "for, saving up for, saved for, quoted for, quoted me for, price for, prices for, nearly bought, almost bought, "
    "am thinking, been thinking, can not afford, could not afford, wants to give it, working towards, working up to, "
    "building up to, built to, build it to, "
    "building it to, being built to, plan is, plans are, idea is, aim is, intend, intends, intending, intention, "
    "about to, "
    "due to go, due to get, due to have, getting ready for, waiting for, waiting on, ordered, put a deposit on, "
    "ought to, "
    "meant to get, "
    "by christmas, by easter, by summer, by spring, by next, come summer, come spring, come christmas, looking into, "
    "researching, reading up on, considering, debating, contemplating, mulling over, tempted by, sold on, "
    "was thinking, were thinking, had in mind, my eye on, an eye on, eyeing up, my heart set on, will start, "
    "keep telling myself, keep promising myself, "
    "keep meaning to, been meaning to, one of these days, talked about, thought about, turning it into, "
    "abandoned, gave up on, shelved, cancelled, called off, decided against, backed out of, chickened out of, "
    "talk of, "
    "went off the idea, never got round to, never got around to, scrapped the idea, binned the idea, thought of, "
    "talked out of, talked me out of, talking me into, talked into"
)
#: What it is only likened to, "it sounds like a V8", or should be by what is written of it.
SEEMING = phrase_list(
    "sounds like, sounding like, goes like, drives like, pulls like, feels like, looks like a, as if it is, as if it "
    "was, as if it had, as though it is, as though it had, as though it was, you would think, would think it, would "
    "swear, meant to have, meant to be, meant to make, badge on, sticker on, sticker saying, badge saying, towing "
    "weight, towing capacity, tow rating, tow capacity, train weight, towing limit, max towing, ideal world, passes "
    "for, mistake it for, mistaken for, pretends to be, badged as, badge says, sticker says"
)
KEEPS = frozenset(word_list("keep leave stick stay"))
LIKENS = frozenset(word_list("feels felt feel sounds looks acts behaves seems more just"))
#: What a car can do to a load; and the loads, beside which it is told what it does.
TOWING = frozenset(word_list("tow towing pull pulling haul hauling lug"))
LOADS = frozenset(
    word_list(
        "caravan trailer boat horsebox float digger gooseneck horses camper bales sheep cattle plant car kart van"
    )
)
RATED = frozenset(word_list("stand stands take takes hold holds handle handles survive survives rated"))
#: By these somebody who drives the car tells how its clutch behaves, and who that may be.
REPORTED = frozenset(word_list("says said say tells told reckons complains complained noticed swears mentioned thinks"))
DRIVERS = frozenset(
    word_list(
        "mam mum mom mother dad father wife missus husband son daughter brother sister nan gran grandad granddad she "
        "he they boy girl lad driver drivers lads partner girlfriend boyfriend uncle aunt auntie kid owner boss"
    )
)
#: Before "it" and a participle: it is still to be done.
TO_BE_DONE = frozenset(word_list("get getting having"))
TAKEN_OFF = phrase_list(
    "wrote off, written off, traded in, part exchanged, scrapped, got shot of, stopped having, stopped doing, "
    "stopped running, stopped using, given up, quit, packed in doing, jacked in, finished with, done with, no more, "
    "retired from, took, taken off, got rid of, rid of, sold, ripped out, threw out, threw away, removed, binned, "
    "ditched, lost, gave up, gave away, swapped out, pulled out, done away with, parted with, blew up, broke"
)
LONG_AGO = phrase_list(
    "at one time, at one point, one time, in those days, in the old days, in the day, in its day, in its heyday, "
    "in her heyday, "
    "previous life, past life, former life, in my youth, as a lad, as a kid, as a youngster, under the last owner, "
    "under the previous owner, under "
    "a previous owner, in the eighties, in the nineties, in the seventies, in the sixties, in the noughties, "
    "to begin with, to start with, at first, back in the, formerly, long gone, any more, anymore, in a past, "
    "in another life, when it was new, when she was new, before all that, before the swap, before the rebuild, "
    "not now"
)
#: Vehicles, and "one" for one of them.
VEHICLES = frozenset(
    word_list(
        "car one ute van truck wagon bus pickup estate tractor model version edition saloon hatch hatchback coupe "
        "convertible example runabout motorbike"
    )
)
#: Before a vehicle: it is another than the caller's.
OF_OTHERS = frozenset(
    word_list(
        "other newer older later earlier recovery breakdown removal borrowed demo courtesy sister racing "
        "rental hire loan loaner spare previous next gt sport base same similar identical display demonstrator "
        "facelift limited"
    )
)
OWNERS = frozenset(
    word_list("dad mum boss wife husband brother sister neighbour neighbor uncle cousin bloke mate friend doctor vicar")
)
PERSONS = frozenset(word_list("i we he she they you my dad mum our his her"))
OWN_VERBS = frozenset(
    word_list("have has got am is drive drives use uses own bought run runs want need mean race tow take will can do")
)
SEVERAL = frozenset(word_list("most some all many few any other every each of these those"))
#: Before "ones": others than this one.
AGES = ("newer", "older", "later", "earlier", "early", "late", "new", "old", "other")
#: What is looked for is not found by that.
LOOKED_FOR = frozenset(word_list("check checked checking look looked looking search searched searching felt smelt"))
#: Verbs of a wish directly before what is wished for.
WISHED_FOR = frozenset(word_list("want wants wanted fancy fancies prefer likes buy buying"))
#: What is asked for across the counter.
WANTED = frozenset(
    word_list(
        "clutch kit something anything setup plate disc cover bits parts quote price upgrade replacement flywheel "
        "paddle "
        "clutches one gear"
    )
)
