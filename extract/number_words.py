"""The English number words below a hundred, each at the place of its value."""

#: "zero" to "nineteen".
BELOW_TWENTY = tuple(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen".split()
)
#: "twenty" to "ninety", by their value.
TENS = {
    word: 10 * value
    for value, word in enumerate("twenty thirty forty fifty sixty seventy eighty ninety".split(), start=2)
}
