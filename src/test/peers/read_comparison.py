"""Reads a comparison's CSV by nothing but the CSVW metadata beside it, as pandas, R or a spreadsheet would with column
types, and compares every number with the JSON of the same comparison: python3 read_comparison.py FILE.csv FILE.json"""
import csv
import json
import sys
from decimal import Decimal

table, whole = sys.argv[1:]
with open(table + "-metadata.json", encoding="utf-8") as file:
    metadata = json.load(file)
assert metadata["@context"] == "http://www.w3.org/ns/csvw", metadata["@context"]
assert table.endswith(metadata["url"]), metadata["url"]
columns = metadata["tableSchema"]["columns"]

READERS = {"string": str, "decimal": lambda cell: Decimal(cell) if cell else None,
           "boolean": {"true": True, "false": False}.__getitem__}

with open(table, encoding=metadata["dialect"]["encoding"], newline="") as file:
    rows = list(csv.reader(file, strict=True))
assert rows[0] == [column["titles"] for column in columns], rows[0]
read = [{column["titles"]: READERS[column["datatype"]](cell) for column, cell in zip(columns, row, strict=True)}
        for row in rows[1:]]

with open(whole, encoding="utf-8") as file:
    comparison = json.load(file, parse_float=Decimal)
written = [(bench, difference) for bench in comparison["benches"]
           for difference in bench["differences"] + bench["differences_at_equal_own_level"]]
assert len(read) == len(written) > 0, (len(read), len(written))
for row, (bench, difference) in zip(read, written):
    assert row.pop("simulated") == comparison["simulated"]
    assert row.pop("bench") == bench["bench"]
    for name, value in row.items():
        assert value == difference.get(name), (name, value, difference.get(name))
print(len(read), "rows,", len(columns), "columns")
