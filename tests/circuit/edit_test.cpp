// Edits that leave everything else byte for byte as it was.
#include <random>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/toml_file.h"
#include "tests/circuit/sprayer.h"

using namespace lostvolts;

namespace {

std::string windows(std::string text) {
    for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; at += 2)
        text.insert(at, 1, '\r');
    return text;
}

std::string value_of(const std::string& text, std::string_view name, std::string_view key) {
    const TomlFile file = parse_toml(text, "c.toml");
    for (const TomlValue& part : file.root.find("part")->items)
        if (part.find("name")->text == name) return part.find(key) ? part.find(key)->text : "(none)";
    return "(no part)";
}

} // namespace

TEST_CASE("an edited value changes its own characters and no others") {
    // Expected, by hand: the one text between the quotes; comment and spacing behind it stay.
    const std::string text = sprayer;
    const auto edited = edit_values(text, {{"part", "main feed", "size", "16 mm2"}}, "c.toml");
    REQUIRE(static_cast<bool>(edited));
    std::string expected = text;
    expected.replace(expected.find("10 mm2"), 6, "16 mm2");
    CHECK(*edited == expected);
}

TEST_CASE("a new key goes below the table's last line, in the file's own line ends") {
    // Expected, by hand.
    const std::string text = windows(sprayer);
    const auto edited = edit_values(text, {{"part", "rinse pump", "note", "from \"store\""}}, "c.toml");
    REQUIRE(static_cast<bool>(edited));
    const std::string last = "# commutator bars\r\n";
    std::string expected = text;
    expected.insert(expected.find(last) + last.size(), "note = \"from \\\"store\\\"\"\r\n");
    CHECK(*edited == expected);
}

TEST_CASE("any edit reads back as told and leaves the rest of the file as it was") {
    // Expected: property, for random edits of random parts; the seed is printed.
    const unsigned seed = 20240612;
    std::mt19937 random(seed);
    MESSAGE("seed " << seed);
    const std::string names[] = {"battery", "main feed", "fuse 4", "pump relay", "rinse pump", "pump ground"};
    const std::string keys[] = {"name", "kind", "from", "to", "note", "size", "a b"};
    const std::string values[] = {"x", "", "é \" \\ ' #", "[[part]]", "a\nb", "\"\"\"", "\t"};
    const auto pick = [&](const auto& all) -> const std::string& {
        return all[std::uniform_int_distribution<std::size_t>(0, std::size(all) - 1)(random)];
    };
    for (int round = 0; round < 400; ++round) {
        const std::string text = round % 2 ? windows(sprayer) : sprayer;
        const std::string name = pick(names), key = pick(keys), value = pick(values);
        CAPTURE(name);
        CAPTURE(key);
        CAPTURE(value);
        const auto edited = edit_values(text, {{"part", name, key, value}}, "c.toml");
        REQUIRE(static_cast<bool>(edited));
        CHECK(value_of(*edited, key == "name" ? value : name, key) == value);
        // Everything but one stretch is the same: common start and common end cover the old text or all of
        // it but the old value.
        std::size_t start = 0, end = 0;
        const std::size_t least = std::min(text.size(), edited->size());
        while (start < least && text[start] == (*edited)[start]) ++start;
        while (end < least - start && text[text.size() - 1 - end] == (*edited)[edited->size() - 1 - end])
            ++end;
        const std::string old = value_of(text, name, key);
        CHECK(start + end >= text.size() - (old == "(none)" ? 0 : old.size() + 2));
    }
}

TEST_CASE("a table added at the end and removed again leaves the file as it was") {
    // Expected: the identity.
    for (const std::string& text :
         {std::string(sprayer), windows(sprayer), std::string(sprayer) + "\n", std::string()}) {
        const std::string with = append_table(text, "reading", {{"state", "run"}, {"value", "1.84 V"}});
        const auto without = remove_table(with, "reading", 0, "c.toml");
        REQUIRE(static_cast<bool>(without));
        CHECK(*without == text);
    }
}

TEST_CASE("a table in the middle goes without the comments that follow it") {
    // Expected, by hand.
    const std::string text =
        "a = 1\n\n[[reading]]\nvalue = \"1 V\" # first\n# about the next\n[[reading]]\nvalue = \"2 V\"\n";
    const auto without = remove_table(text, "reading", 0, "r.toml");
    REQUIRE(static_cast<bool>(without));
    CHECK(*without == "a = 1\n# about the next\n[[reading]]\nvalue = \"2 V\"\n");
    CHECK_FALSE(static_cast<bool>(remove_table(text, "reading", 2, "r.toml")));
}

TEST_CASE("several edits are made at once, and a part that does not exist is named") {
    // Expected, by hand.
    const auto edited = edit_values(sprayer,
                                    {{"part", "main feed", "size", "16 mm2"},
                                     {"part", "pump feed", "size", "4 mm2"},
                                     {"limits", "", "wire", "0.2 V"}},
                                    "c.toml");
    REQUIRE(static_cast<bool>(edited));
    CHECK(value_of(*edited, "main feed", "size") == "16 mm2");
    CHECK(value_of(*edited, "pump feed", "size") == "4 mm2");
    CHECK(edited->ends_with("whole_loop = \"0.5 V\"\nwire = \"0.2 V\"\n"));
    const auto none = edit_values(sprayer, {{"part", "tail feed", "size", "4 mm2"}}, "c.toml");
    REQUIRE_FALSE(static_cast<bool>(none));
    CHECK(none.problems().front().what == "there is no part \"tail feed\" to change");
}
