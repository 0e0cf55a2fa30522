"""Measures two small samples with fresh points and compares them with reference.json."""

import hashlib
import json
import math
import sys
import time

from catalogue import ENTRIES, REFERENCE
from record import SEED, mesh_record

FRESH = ("fingertip.stl", "pebble.stl")
EXACT = 1e-9  # two sums in f64 differ by rounding alone
ERRORS = 3.0  # standard errors that two independent counts may lie apart


class Comparison:
    """Counts what was compared and prints what differs."""

    def __init__(self):
        self.compared = 0
        self.failed = 0

    def expect(self, fine, what):
        self.compared += 1
        if not fine:
            self.failed += 1
            print(f"DIFFERS {what}")

    def values(self, where, old, new):
        """Compares two records of the same form. Pockets are too rough for it, and the counted
        volume is only there to vouch for the count."""
        for key, before in old.items():
            if key in ("core_pockets", "counted_volume_cm3") or key.endswith("_se_cm3"):
                continue
            error_key = key.removesuffix("_cm3") + "_se_cm3"
            error = math.hypot(old[error_key], new[error_key]) if error_key in old else 0.0
            self.value(f"{where}/{key}", before, new[key], error)

    def value(self, place, before, now, error=0.0):
        """Compares two values: numbers within rounding, or within their standard error."""
        if isinstance(before, dict):
            self.values(place, before, now)
        elif isinstance(before, list):
            self.expect(len(before) == len(now), f"{place}: {len(before)} against {len(now)}")
            for n, (one, other) in enumerate(zip(before, now)):
                self.value(f"{place}[{n}]", one, other)
        elif isinstance(before, float):
            fine = math.isclose(before, now, rel_tol=EXACT, abs_tol=EXACT + ERRORS * error)
            self.expect(fine, f"{place}: {before} against {now}, standard error {error:.2g}")
        else:
            self.expect(before == now, f"{place}: {before} against {now}")


def main():
    reference = json.loads(REFERENCE.read_text())
    records = {record["file"]: record for record in reference["meshes"]}
    comparison = Comparison()
    for entry in ENTRIES:
        if entry.source == "sample":
            now = hashlib.sha256(entry.path.read_bytes()).hexdigest()
            comparison.expect(now == records[entry.file]["sha256"], f"{entry.file}: its content")
        if entry.file in FRESH:
            start = time.monotonic()
            fresh = mesh_record(entry, seed=SEED + 1)
            before = comparison.compared
            comparison.values(entry.file, records[entry.file], fresh)
            print(
                f"{entry.file}: volume {fresh['volume_cm3']:.4f} cm³,"
                f" area {fresh['surface_area_cm2']:.4f} cm²;"
                f" {comparison.compared - before} values compared"
                f" ({time.monotonic() - start:.1f} s)"
            )
    print(f"{comparison.compared} compared, {comparison.failed} differ")
    sys.exit(1 if comparison.failed else 0)


if __name__ == "__main__":
    main()
