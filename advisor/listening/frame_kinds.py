"""The frames a part of a sentence can stand in: what keeps its facts from being plain statements about this car now."""

OTHER, PAST, AHEAD, WISH = "another car", "past", "ahead", "a wish"
CONDITION, CARRIED, AS_NEW = "a condition", "still ahead", "as it was new"
QUESTION, DOUBT, WITHDRAWN = "question", "doubt", "taken back"
GOODS = "a paper or a price"
#: Of how something must be, it tells how it is today.
AS_TODAY = "how it is today"
#: What it is only likened to or taken for; of how a clutch behaves the same words simply tell.
SEEMS = "only likened"

#: What stands in the way of a fact only where the car as it is is spoken of.
NOT_YET = frozenset((AHEAD, WISH, CARRIED, CONDITION, QUESTION, DOUBT))
