"""Holds the JSON Schemas of solver/schema and viewer/schema against the files and answers that they describe.

    python3 tests/schema/schema_test.py build/lostvolts .

The judge is python3-jsonschema (Debian 12: 4.10), draft 2020-12. Each bundled circuit and file of readings, and
every command's --json on them, has to fit; what the schema lets pass has to be what the program's own reader
knows, key by key; and each schema has to refuse what is broken.
"""
import copy
import json
import pathlib
import subprocess
import sys
import tempfile
import tomllib

from jsonschema import Draft202012Validator, RefResolver

program, top = sys.argv[1], pathlib.Path(sys.argv[2]).resolve()
circuits = sorted(top.glob("circuits/*/circuit.toml"))
orders = sorted(top.glob("circuits/*/study_*.toml"))
readings = sorted(set(top.glob("circuits/*/*.toml")) - set(circuits) - set(orders))
failures, checks = [], 0


def expect(truth, what):
    global checks
    checks += 1
    if not truth:
        failures.append(what)


def load(file):
    schema = json.loads(file.read_text())
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema, resolver=RefResolver(file.as_uri(), schema))


schemas = {file.name.removesuffix(".schema.json"): load(file)
           for folder in ("solver", "viewer") for file in top.glob(f"{folder}/schema/*.schema.json")}
used = set()


def fits(name, value, what):
    used.add(name)
    errors = sorted(schemas[name].iter_errors(value), key=lambda e: len(e.absolute_path), reverse=True)
    inner = errors[0] if errors else None
    while inner is not None and inner.context:
        inner = max(inner.context, key=lambda e: len(e.absolute_path))
    expect(not errors, f"{what} does not fit {name}: {inner and list(inner.absolute_path)}: {inner and inner.message[:300]}")


def refuses(name, value, what):
    expect(not schemas[name].is_valid(value), f"{name} lets pass {what}")


def ask(*words, talk=""):
    ended = subprocess.run([program, *map(str, words)], input=talk, capture_output=True, text=True)
    try:
        return json.loads(ended.stdout)
    except json.JSONDecodeError:
        failures.append(f"{' '.join(map(str, words))}: no JSON: {ended.stdout[:80]} {ended.stderr[:200]}")
        return None


def broken(value):
    """Copies with one thing wrong each: a key too many or too few, or a value of another sort, at any depth."""
    def places(node, path=()):
        yield path, node
        inner = node.items() if isinstance(node, dict) else enumerate(node[:1]) if isinstance(node, list) else ()
        for key, child in inner:
            yield from places(child, path + (key,))

    for path, node in list(places(value)):
        names = path and path[-1] in ("points", "unknown")  # keys there are a person's own names
        if isinstance(node, dict) and not names:
            other = copy.deepcopy(value)
            at = other
            for key in path:
                at = at[key]
            at["no such key"] = 1
            yield f"a key too many at {path}", other
        if path and isinstance(node, (str, bool, int, float)):
            other = copy.deepcopy(value)
            at = other
            for key in path[:-1]:
                at = at[key]
            at[path[-1]] = ["no such sort"]
            yield f"a list at {path}", other


# --- files that people write ---
for file in circuits:
    content = tomllib.loads(file.read_text())
    fits("circuit", content, file)
    for what, other in broken(content):
        refuses("circuit", other, f"{file}: {what}")
for file in readings:
    content = tomllib.loads(file.read_text())
    fits("readings", content, file)
    for what, other in broken(content):
        refuses("readings", other, f"{file}: {what}")

# --- the same keys as the program's reader has, for every kind of part ---
definitions = schemas["circuit"].schema["$defs"]
kinds = [kind for kind in definitions["part"]["properties"]["kind"]["enum"]]
def known_by_schema(kind, keys):
    """The definition that a part of this kind with these keys has to fit: a motor has two."""
    definition = definitions[kind]
    if "if" in definition:
        own = any(set(way["required"]) <= set(keys) for way in definition["if"]["anyOf"])
        definition = definitions[definition["then" if own else "else"]["$ref"].split("/")[-1]]
    return set(definition["properties"])


every_key = {key for one in definitions.values() for key in one.get("properties", {}) if "kind" in one["properties"]}
every_key = sorted(every_key | {"area", "volts", "cut_in", "colour"})
with tempfile.TemporaryDirectory() as folder:
    for kind in kinds:
        for left_out in ((), ("resistance", "constant")):
            keys = [key for key in every_key if key not in left_out]
            text = f'format = 1\nground = "a"\n[[part]]\nname = "x"\nkind = "{kind}"\n'
            for key in keys:
                if key not in ("name", "kind"):
                    text += f'{key} = {3 if key in ("bars", "cells") else chr(34) + "b" + chr(34)}\n'
            file = pathlib.Path(folder, "keys.toml")
            file.write_text(text)
            said = ask("check", file, "--json")
            unknown = {p["what"].split('"')[-2] for p in said["files"][0]["problems"] if "unknown key" in p["what"]}
            program_knows, schema_knows = set(keys) - unknown, known_by_schema(kind, keys) & set(keys)
            expect(program_knows == schema_knows, f"{kind}: known only to the program {program_knows - schema_knows}, "
                                                  f"only to the schema {schema_knows - program_knows}")

    # --- answers ---
    answers = {}

    def answer(schema, *words, talk=""):
        value = ask(*words, "--json", talk=talk)
        if value is not None:
            fits(schema, value, " ".join(map(str, words)))
            answers.setdefault(schema, []).append((words, value))
        return value

    work = pathlib.Path(folder)
    answer("check", "check", *circuits, *readings, "no_such_file.toml")
    for circuit in circuits:
        held = tomllib.loads(circuit.read_text())
        states = [state["name"] for state in held.get("state", [])]
        conditions = [condition["name"] for condition in held.get("condition", [])]
        answer("predict", "predict", circuit)
        for condition in conditions[:2]:
            answer("predict", "predict", circuit, "--condition", condition)
        answer("size", "size", circuit, "--no-starts", "--study", 50)
        answer("compare", "compare", circuit)
        for state in states[:2]:
            answer("inrush", "inrush", circuit, "--state", state, "--csv", work / "start.csv", "--duration", "0.3 s")
        answer("practice", "practice", circuit, "--seed", 3, talk="give up\n")
    for file in readings:
        answer("locate", "locate", file)
    # Nothing read and no meter listed: lamps and sounds are proposed; nothing switched on: ohms.
    for name, state in (("workboat_bilge", "float down"), ("radiator_fan", "cold")):
        words = work / "words.toml"
        words.write_text(f'circuit = "{top / "circuits" / name / "circuit.toml"}"\n[[reading]]\nstate = "{state}"\n'
                         'quantity = "voltage"\nred = "battery +"\nblack = "battery -"\nvalue = "12.60 V"\n')
        told = answer("locate", "locate", words)
        if not any("word" in o for n in told["next"] for o in n["outcomes"]):
            raise SystemExit(f"{name}: no outcome of the next readings is told in a word")
    sprayer = top / "circuits/orchard_sprayer"
    answer("draft", "draft", sprayer / "walk.txt")
    drafted = answer("draft", "draft", sprayer / "walk.txt", "-o", work / "drafted.toml")
    fits("circuit", tomllib.loads(drafted["toml"]), "the circuit that draft makes")
    answer("note", "note", work / "noted.toml", "--circuit", work / "drafted.toml", "12.55 V battery + in run")
    answer("note", "note", work / "noted.toml", "7.65 A rinse pump", "--remark", "steady")
    fits("readings", tomllib.loads((work / "noted.toml").read_text()), "the readings that note makes")
    answer("compare", "compare", sprayer / "circuit.toml", "--sweep", "pump ground: 0 to 500 mohm")
    ask("inrush", sprayer / "circuit.toml", "--state", "run", "--bounces", 2, "--csv", work / "start.csv", "--json")
    answer("waveform", "waveform", work / "start.csv")
    answer("waveform", "waveform", work / "start.csv", "--circuit", sprayer / "circuit.toml")
    answer("report", "report", sprayer / "readings.toml", "-o", work / "report.html")
    store = ("--store", work / "jobs")
    kept = answer("records", "records", "add", sprayer / "readings.toml", work / "start.csv", "--known", "good", *store)
    answer("records", "records", "find", *store)
    answer("records", "records", "show", kept["id"], *store)
    answer("records", "records", "label", kept["id"], "orchard", *store)
    answer("records", "records", "baseline", sprayer / "readings.toml", *store)
    answer("records", "records", "export", *store)
    answer("records", "records", "rebuild", *store)

    for order in orders:
        content = tomllib.loads(order.read_text())
        fits("study", content, order)
        for what, other in broken(content):
            refuses("study", other, f"{order}: {what}")
    answer("study-answer", "study", orders[0], "-o", work / "study.csv")

    # --- every command that answers as JSON has a schema, and each refuses an answer that is spoilt ---
    commands = subprocess.run([program, "--complete", ""], capture_output=True, text=True).stdout.split()[1:]
    for command in commands:
        text = subprocess.run([program, command, "--help"], capture_output=True, text=True).stdout
        schema = "study-answer" if command == "study" else command
        if "--json" not in text and command != "records":
            continue
        expect(schema in answers, f"{command} has --json; write viewer/schema/{schema}.schema.json and ask it here")
        bad = ask(command, *(["show"] if command == "records" else []), "no_such_file",
                  *(["-o", work / "x.html"] if command == "report" else []),
                  *(["--state", "run"] if command == "inrush" else []), "--json")
        if bad is not None and command != "check":
            fits(schema, bad, f"{command}: the refusal of a missing file")
            expect("problems" in bad, f"{command}: {bad}")
    for schema, all_of in answers.items():
        for words, value in (all_of[0], all_of[-1]):
            for what, other in broken(value):
                refuses(schema, other, f"{' '.join(map(str, words))}: {what}")
            for key in value:
                if key in ("condition", "faults", "problems", "compared"):
                    continue
                less = {k: v for k, v in value.items() if k != key}
                refuses(schema, less, f"{' '.join(map(str, words))} without {key}")

expect(used | {"common"} == set(schemas), f"schemas that nothing was held against: {sorted(set(schemas) - used)}")
print(f"{checks} checks, {len(failures)} failed")
for failure in failures[:40]:
    print("  " + failure)
sys.exit(1 if failures else 0)
