"""The small script that one would write instead of gyle-finish-check: for each batch file, is its gravity the same for two days and
its diacetyl passed? It reads with the bindings to libyaml. Exit status 3 where python3 has none."""
import datetime
import re
import sys

try:
    import yaml
    loader = yaml.CSafeLoader
except (ImportError, AttributeError):
    sys.exit(3)

NUMBER = re.compile(r"[0-9.]+")


def number(text):
    found = NUMBER.match(str(text))
    return float(found.group()) if found else None


def moment(text):
    return datetime.datetime.strptime(str(text)[:16], "%Y-%m-%d %H:%M")


def is_finished(batch):
    seen, passed = [], False
    for reading in batch.get("readings") or []:
        if reading.get("gravity") is not None:
            seen.append((moment(reading["at"]), number(reading["gravity"])))
        vdk = reading.get("vdk")
        passed = passed or "pass" in str(vdk) or (number(vdk) or 1) < 0.1
    seen.sort()
    if not seen or not passed:
        return False
    last, plato = seen[-1]
    return any(last - at >= datetime.timedelta(days=2) and abs(value - plato) < 0.11 for at, value in seen)


for path in sys.argv[1:]:
    with open(path, encoding="utf-8") as text:
        for batch in yaml.load_all(text, Loader=loader):
            print(batch["batch"], "yes" if is_finished(batch) else "no")
