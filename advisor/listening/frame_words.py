"""The small words by which it is known whose car, when, and how sure: what `frames` reads parts of a sentence by."""

from .word_lists import phrase_list, word_list

#: Signs that part a sentence; "and" and "but" do before some words.
STOPS = frozenset(".;!?,:()=")
#: A pause put into sounds: between two stops it is no part of the sentence.
HESITATIONS = frozenset(word_list("er erm um uh ehm umm"))
AND_BEFORE = frozenset(
    word_list(
        "i it he she we they the my mine this that you going want wants planning hoping thinking might would "
        "maybe is has there next later what how why does which came bought ended took settled chose put fitted "
        "bolted "
        "stuck swapped"
    )
)
#: What is counted by it: launches a day, days a year.
COUNTED_BY = frozenset(
    word_list("day meeting meet event night weekend outing visit session year season summer time yr race competition")
)
#: By these this car is spoken of again.
OWN = phrase_list(
    "mine, in this, in mine, on mine, on this, this thing, my car, my one, ours, this one, this car, my own, in it "
    "now, in there now, one in there, one in it, my motor, my engine, my clutch, my gearbox, my pedal, my flywheel, "
    "my truck, my van, my ute, my pickup, it is for the, it is for my"
)
PEOPLE = frozenset(
    word_list(
        "mate friend brother sister neighbour neighbor bloke guy fella lad chap cousin uncle "
        "colleague buddy rival rivals competitor opponent someone somebody customer fellow people everyone "
        "others they"
    )
)
CARS = frozenset(
    word_list(
        "car one ute van truck wagon motor bus pickup estate hatchback hatch runabout saloon coupe lorry jeep "
        "tractor bike motorbike scooter"
    )
)
#: Words by which the salesperson himself is addressed: somebody else only behind one of the others.
ADDRESSED = frozenset(word_list("mate buddy lad fella chap guy people"))
#: In "does not bother me mate" he is spoken to; in "me mate has one" he is not.
BEFORE_ME = frozenset(word_list("bother bothers worry worries suit suits tell give help let believe trust excuse"))
BEFORE_PEOPLE = frozenset(
    word_list("most many few those these a my me his her our the another some other this that old good")
)
#: What somebody does on the car that is spoken of, whose word so tells of it.
WORKED = frozenset(word_list("made makes built builds mapped maps tuned tunes fitted fits serviced rebuilt services"))
AT_WORK = tuple(
    text.split()
    for text in phrase_list(
        "at the garage, at the workshop, at the shop, at the dealer, at the mot, at the rollers, at the dyno"
    )
)
#: Before somebody who works at it, and what he does: "the gearbox bloke says".
TRADES = frozenset(word_list("gearbox clutch engine transmission dyno tuning parts diff driveline garage"))
SAYS = frozenset(word_list("says said reckons reckoned told rates rated"))
#: What somebody else's this car may have stood on.
DYNOS = frozenset(word_list("dyno dynos rollers scales weighbridge"))
#: Before somebody whose car is the one that is spoken of.
THIS_IS = tuple(text.split() for text in phrase_list("it is my, it is me, this is my, this is me, it is our"))
WORKS = frozenset(word_list("got has had doing fitting pulled pulling dropped taken taking changing putting"))
#: Behind "his": nothing by which it would be his car.
HIS_OWN = frozenset(
    word_list(
        "own garage workshop shop place tools lift ramp shed word lads dyno rollers opinion trade guess "
        "estimate figure foot leg knee"
    )
)
#: What the family has that is no car.
NO_CARS = frozenset(
    word_list(
        "sunburnt hurt ill sick married cold test knee hip back leg foot ankle licence license lesson "
        "lessons exam arthritis baby job"
    )
)
FAMILY = frozenset(
    word_list(
        "man boss parents roommate flatmate housemate folks nephew niece grandad granddad grandpa grandma nan gran "
        "aunt auntie kid apprentice gaffer landlord vicar teacher wife husband missus dad father mum mother son "
        "daughter girlfriend boyfriend partner"
    )
)
#: He has two, and tells which one it is about; by what he tells them apart.
TWO_CARS = phrase_list(
    "two of them, got two, have two, both of them, pair of them, ringing about, calling about, phoning about, "
    "asking about, "
    "the other one, mine is, this one is"
)
COLOURS = frozenset(
    word_list(
        "red blue green white black silver grey gray yellow orange gold brown first second older newer big "
        "little small "
        "bigger smaller young posh quick slow fast nice"
    )
)
VEHICLES = frozenset(
    word_list(
        "car van ute truck pickup bus hatch hatchback estate saloon wagon coupe convertible tractor bike lorry runabout"
    )
)
MY = frozenset(word_list("the my me our her his"))
#: Said of what was on the car, or was had, and is no more.
TAKEN_OFF_SINCE = phrase_list(
    "taken off, been removed, was removed, come off now, came off again, stripped out, ripped out, thrown away, "
    "off now, "
    "gone now, is gone, all gone, been undone, taken out, taken back off, unplugged, disconnected"
)
#: Of what is to come off, and is on the car still.
ON_A_WORN_PART = phrase_list(
    "on the old bearing, on the old release, on the old disc, on the old plate, on the old throwout"
)
IS_GONE = frozenset(word_list("sold scrapped gone stolen crashed nicked dead"))
OTHER_PHRASES = phrase_list(
    "the wrong one, the wrong clutch, the wrong kit, the wrong bearing, in the range, "
    "saw one, seen one, on the telly, on tv, "
    "test drove, test driven, drove one, driven one, tried one, been in one, sat in one, had a go in, hired one, "
    "borrowed one, other half has the, other half has a, other half is has, better half has a, other half drives a, "
    "better half drives a, other car, another car, other one, old car, previous car, last car, hers, theirs, my "
    "first car, my first motor, my first van, my first bike, last motor, last van, old motor, old van, previous "
    "motor, a clip, clip i, the clip, my old one, me old one, your other, your branch, your depot, your warehouse, "
    "your premises, your yard, the forum, online, on the internet, video, same engine, similar car, similar one, "
    "identical car, the last one, last customer, the old one, the one before, my one before, one before this, "
    "one before that, his car, her car, their car, spare car, "
    "race team, playstation, simulator, game, magazine, donor, the shop car, second car, next to mine, beside mine, "
    "parked next to, next to me, in front of me, behind me"
)
PAST = phrase_list(
    "for a bet, for a dare, for a laugh, up to last, up till last, in my youth, in my day, in his day, "
    "when i was younger, when i was young, before i "
    "retired, before the kids, "
    "by mistake, in error, ordered the wrong, sent me, used to, originally, when new, was new, back when, back then, "
    "previously, formerly, until, till i swapped, till we swapped, "
    "till i changed, till i fitted, till i had, on the old, with the old, it had, she had, when i bought, "
    "when i got, years ago, last year, last season, in the past, no longer, last clutch, "
    "previous clutch, had the, at the time, before, came off, years back, "
    "out of date, was yesterday, was last week, was the other day, "
    "lasted, swapped out, got rid of, previous owner ran, previous owner had, "
    "in the skip, in the bin, in the scrap, in the dumpster, in the trash, went to scrap, went for scrap, thrown "
    "away, "
    "threw away, thrown out, threw out, binned, junked, ditched, got shot of, "
    "dumped the dual, dumped the dmf, chucked the dual, chucked the dmf, slung the "
    "dual, slung the dmf, lobbed the dual, lobbed the dmf, "
    "previous owner was, last owner ran, "
    "last owner had, last owner was running"
)
#: A time gone by at which something was changed that is still so: "converted it to turbo last year".
WHEN = phrase_list(
    "last year, last season, last winter, last summer, years ago, months ago, weeks ago, years back, when i bought, "
    "when i got"
)
CHANGED = frozenset(
    word_list("converted fitted swapped put bolted added changed installed rebuilt built mapped remapped upgraded")
)
#: What else is done to an engine, a map or a clutch.
ALTERED = frozenset(
    word_list("modified tuned chipped flashed reflashed remapped ported cammed bored messed rebuilt upped played")
)
#: What somebody did to this car, who owned or serviced it.
CHANGED_BY = CHANGED | {"had", "stuck", "dropped", "shoved", "squeezed", "shoehorned", "slapped", "bunged"}
#: Behind "before": what was changed by then is on the car still, "it was remapped before I got it".
BOUGHT = tuple(
    text.split() for text in phrase_list("i got it, i bought it, i had it, we got it, we bought it, we had it")
)
#: What is had done to a part of this car.
HAD_DONE = frozenset(
    word_list(
        "rated rebuilt weighed measured checked skimmed mapped remapped tested machined flashed reflashed chipped "
        "tuned ported lightened balanced reground converted bored"
    )
)
#: Before "coming": nothing that is to come.
KEEPS = frozenset(word_list("keeps kept noise smell smoke oil was not"))
#: Beside one of these such a change is not made yet: "it is being mapped over the winter".
TO_BE_DONE = frozenset(word_list("be being getting get gets will going having have planning want hoping to"))
#: What it was when it was new: its numbers are no longer sure, what it is remains.
AS_NEW = phrase_list(
    "left the factory with, came from the factory with, came out with, as built, when built, as it was built, "
    "left the works, from the works, in standard trim, in standard form, from "
    "new, when it left, factory figure, from the factory, standard figure, stock figure, came with, out of the "
    "factory"
)
AHEAD = phrase_list(
    "next year, next month, next winter, next week, next season, next spring, next summer, next time, next weekend, "
    "this winter, some day, someday, eventually, over the winter, over winter, "
    "planning, plan to, plan on, planned, plans, hypothetically, pretend, plan was, idea was, dream was, "
    "intention was, "
    "had in mind, toying with, toyed with, intended, one of these days, "
    "thinking of, thinking about, going for, going to, aiming, aim, "
    "later on, down the line, looking to, soon, dream, "
    "dreaming, after the build, once it is done, once it is "
    "finished, once it is run in, once it is running, once it is sorted, once it is back, when it is finished, when "
    "it is done, when finished, when mapped, "
    "after the map, after the remap, after that, "
    "will be, will make, will have, should make, should be making, target, goal, would be nice, ready for, "
    "saving up, "
    "expecting, expect, in the end, tomorrow, year after, few years, future, want to get, would love to, love to "
    "get, "
    "like to get, tempted, on the cards, in the pipeline"
)
#: What somebody has to offer, or says it could have: nothing of it is on the car.
OFFERED = phrase_list(
    "offers me, offered me, offer me, offers us, offered us, has offered, was offered, been offered, were offered, "
    "offering me, wants to sell me, want to sell me, wanted to sell me, tried to sell me, trying to sell me, try to "
    "sell me, promises, promise me, promises me, wanted to put, wanted to fit, wanted to do, would do me, could do "
    "me, you can get, can get out of it, could get out of it, can be had, these make, these give, would take it, "
    "would "
    "bring it, will fit a, will put a, will bolt a, will add, will get a, comes the, comes a bigger"
)
#: A wish: what is asked for says nothing of the car, what the car is nobody wishes for. ("I'd like" is heard as "I
#: like".)
WISH = phrase_list(
    "hopefully, fingers crossed, want, wants, wanted, would like, hoping, hope, looking for, looking at, wish, "
    "need, needs, to be, i like, we like, he like, she like, they like, i love, we love, he love, she love, "
    "give my right arm, give my left arm, give my eye teeth, give my back teeth, give an arm, give a kidney, "
    "give anything, do anything for, kill for, die for, dying for, longing for, not say no to"
)
#: Behind "could": no doubt, but what would be borne: "a little stiffer I could live with", "could not care less".
BORNE = phrase_list("live, put up, cope, stand, stomach, bear, tolerate, accept, find, not")
#: Behind "would": the same: "wouldn't bother me", "would be alright".
WOULD_BE_BORNE = phrase_list(
    "not bother, not worry, not matter, not mind, not hurt, not kill, not be a problem, not be a bother, be alright, "
    "be all right, be fine, be ok, be okay, be acceptable, do fine, suit me"
)
#: What these want is a rule, and no wish: "tech inspection wants a scattershield".
DEMANDING = frozenset(
    word_list(
        "inspection scrutineers scrutineer scrutineering rules rulebook series officials club insurance federation"
    )
)
#: A plate, a paper, a parcel: what stands on it tells nothing of the car as it is.
PAPERS = phrase_list(
    "mine reckons, mine reckoned, on the boot lid, on the tailgate, "
    "kilos unbraked, kg unbraked, kilos braked, kg braked, "
    "box it came in, packet it came in, on the packaging, on the packet, box it comes in, address is, my address, "
    "delivery address, number plate, licence plate, license plate, rego, postcode, post code, zip code, invoice, "
    "receipt, order number, reference number, phone number, chassis number, vin number, part number, sent me, "
    "ordered a, bill said, bill says, on the shelf, your website, website has, website says, ad reads, ad says, ad "
    "said, advert reads, advert says, advert said, advertisement, listing reads, your site, in the catalogue, in the "
    "listing, listing says, listing said, sat nav, satnav, sign said, sign says, pub quiz, warranty, guarantee, "
    "guaranteed, is written, they sell, you sell, he sells, they advertise, sell one, sells one, for sale"
)
#: What is said of the part before: it was of old, it is not so yet, it is of something else, it is taken back, it is
#: not certain.
SINCE_GONE = phrase_list(
    "cured it, cured that, sorted that, did the trick, solved it, that went on, that is spent, that got spent, "
    "that is long gone, that is gone, that one is gone, that is history, that is in the bin, "
    "that is in the skip, that has been sold, that was sold, that was years ago, that was before, "
    "that was the old one, sold it, sold that, scrapped it, traded it in, "
    "not now, not any more, not anymore, not these days, not since, wrote it off, got shot of it, got rid of it, "
    "what it said before, what it made before, what it was before, never again, since sold, well it was, "
    "or it was, at least it was, it was anyway"
)
NOT_DONE_YET = phrase_list(
    "never did, never happened, never got round to it, never got around to it, came to nothing, fell through, "
    "never came off, never came to anything, "
    "booked in for it, booked in for that, booked for it, that is booked, that is not happened yet, "
    "that is to come, that is next, "
    "not hooked up, not connected, not plumbed in, not wired up, not wired in, not fitted yet, "
    "not installed yet, not on it yet, not on yet, not in it yet, not in yet, not working yet, "
    "yet to go on, yet to be fitted, still in the box, still in its box, still in the shed, still in the garage, "
    "still in the loft, still in the boot, still on the shelf, sat in the shed, sat in the garage, sitting in "
    "the shed"
)
OF_SOMETHING_ELSE = phrase_list(
    "mine has not got, mine does not have, mine has none, mine is got none, mine got none, mine is without, "
    "not on mine, mine came without, mine never had, "
    "wrong car, wrong engine, wrong one, wrong gearbox, "
    "it is not for that, this is not for that, not that one, that is not the one, not about that, not for that one, "
    "that is another call, that is another job, for another call, for another day, another story, different story, "
    "for another time"
)
TAKEN_BACK = phrase_list(
    "it was only the, it was only a, forget that, forget i said, forget about that, ignore that, "
    "scrap that, never mind that, "
    "disregard that, leave that out, do not count that, do not write that down, take that back, "
    "only joking, just joking, only kidding, just kidding, pulling your leg, pulling your chain, "
    "only messing, just messing, yeah right, pull the other one, pigs might fly, lot more than that, lot less "
    "than that, is more than that, is less than that"
)
#: Of what was said of a thing for sale.
SAYS_ON_IT = phrase_list(
    "turn left, turn right, first left, first right, on your left, on your right, left there, "
    "go right there, turn right there, "
    "it says on the tin, says on the tin, it said on the tin, it says on the box, it says on the packet, it says "
    "on the "
    "label, it says on your website, it says on the website, it says in your advert, it says in the advert, "
    "according to the blurb, according to the box, according to the listing, according to the catalogue, "
    "according to "
    "your website, according to the website"
)
#: By these a clutch is ordered, and what stands beside tells what for.
ORDERS = phrase_list(
    "can you do me, could you do me, can you sort me, could you sort me, can you get me, could you get me, "
    "can you find me, could you find me, can you sell me, can you fix me up"
)
#: As a whole part of a sentence: what stands before it was no more than a joke.
NOT_MEANT = frozenset(
    phrase_list(
        "i wish, as if, my foot, my arse, in my dreams, in your dreams, dream on, chance would be a fine thing, "
        "obviously, "
        "pure fiction, total fiction, pure fantasy, utter rubbish, total rubbish, load of rubbish, what rubbish, utter "
        "nonsense, total nonsense, load of nonsense, load of bull, all lies, complete lie, all hot air, pub talk, just "
        "pub talk, all talk, he is dreaming, dreaming, in his dreams, he is having a laugh, they are dreaming, she is "
        "dreaming, pie in the sky, fairy tale, fairy tales, as likely as not wrong, "
        "obviously not, of course not, like hell, only in my dreams, if only, some hope, some chance, fat "
        "chance, not really"
    )
)
UNCERTAIN = phrase_list(
    "will believe it, will believe that, never even looked, not even look, lies more like, big liar, fat liar, "
    "gauge was wrong, gauge reads high, gauge reads wrong, reading wrong, reading high, "
    "not believe it, not believe a "
    "word, not believe him, not believe that, not believe them, not buying it, "
    "gauge is a liar, gauge is lying, gauge is wrong, gauge is faulty, gauge is broken, do not trust it, "
    "would not trust it, "
    "no idea now, no idea any more, not a clue now, no idea since, other way round, "
    "other way about, or something else, how would i check, how do i check, how can i check, how can i tell, how do "
    "i tell, how would i tell, how do i know, how would i know, i have not noticed it, not noticed it myself, i have "
    "never noticed, not so sure myself, i do not believe it, i do not believe a word, i am not convinced, i have my "
    "doubts, i doubt it, i say it is her driving, i say it is his driving, i say it is just, have not decided, not "
    "decided yet, undecided, still deciding, not made my mind up, not made up my mind, we will see, see how it goes, "
    "who believes, believe that if, pinch of salt, not that i believe, have my doubts, has my doubts, i "
    "doubt that, god knows, lord knows, heaven knows, goodness knows, dear knows, how can i be sure, how do i make "
    "sure, how do i find out, where do i look, is that right, is that true"
)
#: What is to come, with words in it that may themselves be an answer.
STILL_TO_COME = phrase_list(
    "want to take up, wants to take up, like to take up, want to try, wants to try, want to get into, "
    "wants to get into, "
    "like to get into, like to try, have a go at, "
    "on order, in the post, love to see, like to see, one day, "
    "when it is mapped, once it is mapped, once mapped, after it is mapped, when it is tuned, once it is tuned, "
    "when it is built, once it is built, when it is remapped, once it is remapped"
)
#: Who says so of a tyre wants to buy some.
SHOPPING = frozenset(word_list("need want after looking price cost quote order selling sell stock"))
JOKES = phrase_list("joking, kidding, pulling your leg, pulling your chain, only messing, just messing")
CONFIRMED = phrase_list("that is right, that was right, that is correct, that is it, had it right")
OLD = frozenset(word_list("old previous last"))
#: What may be the last one and yet tells of the car as it is, and names for the car itself.
STILL = frozenset(
    word_list(
        "owner fella bloke guy lad chap man keeper dyno rolling run pull map remap tune figure figures reading weigh "
        "weighing print girl bus thing lady "
        "beast"
    )
)
WHENEVER = phrase_list("if, unless")
#: What stands behind an if that puts nothing in doubt.
IF_AT_ALL = phrase_list(
    "memory serves, i remember, i recall, that helps, that makes sense, you ask me, you like, you must know, "
    "you please, "
    "i am honest, i am being honest, anything, you want to know, it matters, it helps, you do not mind, i may, "
    "the missus lets me, the wife lets me, weather is kind, the weather holds, i am lucky, "
    "that is any use, that is any help, i am right, i am not mistaken, i rightly remember, you catch my drift"
)
IF = phrase_list(
    "what if, suppose we, suppose you, supposing, say it, might, may be, may have, may make, may need, may get, "
    "could, would, in case, maybe later, possibly, "
    "whether, imagine, heard the, heard that, i heard, have heard, i read that, somebody told me, told me that, "
    "asked about, asked him about, asked them about, asked her about, asked you about, "
    "i read somewhere, so i read, so i have read, read online, i read on, have read on, saw online, saw on the, "
    "despite what, in spite of what, whatever the, no matter what they, no matter what he, no matter what the, "
    "regardless of what they, regardless of what he, regardless of what the, "
    "never seen proof, never seen any proof"
)
UNSURE = phrase_list(
    "not sure, no idea, can not remember, do not remember, i forget, forgot, do not know, not certain, who knows, "
    "no clue, could not say, can not say, hard to say, not a clue, dunno, unsure, either, never know, wonder, "
    "wondering, joking, kidding"
)
WAS = frozenset(word_list("was were had came made did ran used went broke wore gave held"))
#: What is of the past only behind one of these, by want of an s: "it put out 300", where "I put out" may be of today
#: and "a bit" is no verb.
WAS_BY_SUBJECT = frozenset(word_list("put bit"))
SUBJECTS = frozenset(word_list("it she that clutch pedal engine motor lump car turbo flywheel disc plate gearbox box"))
ASKING = frozenset(word_list("will would can could should is are does do did was were am shall"))
ASKED = frozenset(
    word_list(
        "it i you they we the this that there my a an he she your them one yours these those anybody anyone people"
    )
)
TELLERS = frozenset(word_list("i he she it we they mine there"))
TELL = frozenset(
    word_list("is am are has have got makes make runs run wants want needs need does do weighs drives tows")
)
VERBS = TELL | frozenset(
    word_list(
        "was were had did will can slips judders drags bites sits goes gets puts uses launch launches change "
        "changes rev "
        "revs fits fitting fitted pull pulls towing driven used measured it i we she he"
    )
)
#: What stands between the parts of what is told and tells nothing itself.
ASIDES = frozenset(
    phrase_list("i think, i guess, i reckon, i suppose, i do not know, you know, let us say, shall we say")
)
#: Begins what only tells more of what was named just before: "..., a 75 shot".
APPOSED = frozenset(word_list("a an about around roughly say some something just only maybe probably with"))
#: Behind "which": it goes on telling.
AFTER_WHICH = frozenset(word_list("on in for at i we it they he she apparently should would gives means takes comes"))
#: Behind "does": what a car is used for, and so no question.
DOES_FOR_USE = frozenset(
    word_list(
        "run runs commute shop shops shopping deliveries rounds trip trips miles days errands motorway sprints "
        "hillclimbs laps groceries supermarket nursery village station airport motorways commuting"
    )
)
#: Begins what asks nothing: "who knows", "why not".
ASKS_NOTHING = tuple(
    text.split() for text in phrase_list("who knows, who cares, who can, why not, how about, god knows, what else")
)
WORDS_OF_QUESTION = frozenset(word_list("how what why which who where whats hows"))
