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
        """Compares every number of two records of the same form."""
        for key, before in old.items():
            now, place = new[key], f"{where}/{key}"
            if key.endswith("_se_cm3") or key in ("core_pockets", "counted_volume_cm3"):
                continue
            if isinstance(before, list) and before and isinstance(before[0], dict):
                self.expect(len(before) == len(now), f"{place}: {len(before)} against {len(now)}")
                for n, pair in enumerate(zip(before, now)):
                    self.values(f"{place}[{n}]", *pair)
            elif f"{key.removesuffix('_cm3')}_se_cm3" in old:
                error_key = f"{key.removesuffix('_cm3')}_se_cm3"
                error = math.hypot(old[error_key], new[error_key])
                fine = abs(before - now) <= ERRORS * error + 1e-9
                self.expect(fine, f"{place}: {before} against {now}, standard error {error:.2g}")
            elif isinstance(before, float):
                fine = math.isclose(before, now, rel_tol=EXACT, abs_tol=EXACT)
                self.expect(fine, f"{place}: {before} against {now}")
            elif not isinstance(before, list):
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
