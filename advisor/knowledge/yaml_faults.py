"""What YAML would misread, and the parser's words for a fault next to ours."""

import re

DEEPEST = 32

TRAPS = (
    (
        re.compile(r"[-+]?0[0-9_]+(?:\.[0-9_]*)?|[-+]?0o[0-9]*"),
        "would be read as an octal number",
        "Write the number without the leading zero, or in quotes as text.",
    ),
    (
        re.compile(r"[-+]?0[xb][0-9a-fA-F_]*"),
        "would be read as a hexadecimal or binary number",
        "Write it as a decimal number, or in quotes as text.",
    ),
    (
        re.compile(r"[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?"),
        "would be read as a number to base 60",
        "Put it in quotes.",
    ),
    (re.compile(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}(?:[Tt ].*)?"), "would be read as a date", "Put it in quotes."),
    (re.compile(r"[-+]?\.(?:inf|nan)", re.IGNORECASE), "is not a number of any size", "Write a number."),
    (re.compile(r"[-+]?[0-9][0-9_]*_[0-9_.]*"), "has an underscore inside a number", "Write the digits together."),
    (
        re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+\.)"),
        "begins or ends with the decimal point",
        "Write digits on both sides of it, as in 0.5.",
    ),
)
NULLS = ("", "~", "null", "Null", "NULL")

#: The parser's words for a fault, and ours.
FAULTS = (
    (
        "mapping values are not allowed",
        "there is a second colon on this line, or the line is indented wrongly",
        "Put text that holds a colon in quotes.",
    ),
    ("could not find expected ':'", "a key here has no colon after it", "Write key: value."),
    ("did not find expected ',' or '}'", "a brace { is not closed, or a comma is missing", "Close it with }."),
    ("did not find expected ',' or ']'", "a bracket [ is not closed, or a comma is missing", "Close it with ]."),
    (
        "did not find expected key",
        "a line is indented differently from its neighbours",
        "Line up the keys of one mapping.",
    ),
    ("expected <block end>", "a line is indented differently from its neighbours", "Line up the keys of one mapping."),
    (
        "did not find expected '-' indicator",
        "a line of this list has no dash",
        "Begin every member of the list with a dash.",
    ),
    ("found unexpected end of stream", "a quote is not closed", "Close the quote."),
    ("cannot start any token", "this character cannot stand here unquoted", "Put the text in quotes."),
    (
        "undefined alias",
        "a name begins with *, which stands for a repeated part",
        "Put the text in quotes or write the part out.",
    ),
    ("control characters are not allowed", "there is a control character", "Take it out."),
    ("special characters are not allowed", "there is a character that cannot be printed", "Take it out."),
    ("maximum nesting depth", f"the nesting is deeper than {DEEPEST}", "Flatten it."),
    ("expected <document start>", "there is text after the end of the document", "Keep one document in a file."),
    (
        "expected alphabetic or numeric",
        "a name begins with * or &, which stands for a repeated part",
        "Put the text in quotes.",
    ),
    (
        "expected node content",
        "a value is missing here, or a comma or bracket is out of place",
        "Write the value, or take the comma out.",
    ),
    ("unknown escape character", "a backslash in double quotes has a meaning of its own", "Use single quotes."),
)
