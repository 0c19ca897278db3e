// A page of the manual, in the language of man(7), from what CLI11 knows of a command.
// Source: man(7) and groff_char(7) of groff 1.22.4, for the macros and the names of characters.

#include <algorithm>
#include <utility>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "solver/units/code_points.h"
#include "viewer/command/commands.h"
#include "viewer/command/usage.h"

namespace lostvolts {
namespace {

/// Text that means nothing to the typesetter: hyphens that can be copied, no escapes, a first character that
/// is no request.
std::string plain(const std::string& text) {
    std::string out;
    for (const char32_t c : code_points(text)) {
        if (out.empty() && (c == U'.' || c == U'\'')) out += "\\&";
        if (c == U'\\')
            out += "\\e";
        else if (c == U'-')
            out += "\\-";
        else if (c == U'"')
            out += "\\(dq"; // else it ends an argument of a macro
        else if (c == U'\'')
            out += "\\(aq";
        else if (c == U'~')
            out += "\\(ti";
        else if (c < 0x80)
            out += static_cast<char>(c);
        else
            out += fmt::format("\\[u{:04X}]", static_cast<std::uint32_t>(c));
    }
    return out;
}

std::string heading(const std::string& words) { return ".SH " + words + '\n'; }
std::string line(const std::string& words) { return plain(words) + '\n'; }
std::string sentence(std::string words) {
    if (!words.empty()) words[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(words[0])));
    if (!words.ends_with('.')) words += '.';
    return line(words);
}
std::string bold(const std::string& words) { return "\\fB" + plain(words) + "\\fR"; }
std::string slanted(const std::string& words) { return "\\fI" + plain(words) + "\\fR"; }

std::string head(const std::string& page, const std::string& does) {
    std::string large = page;
    for (char& c : large) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    return fmt::format(".TH {} 1 \"{}\" \"Lostvolts {}\" \"Lostvolts\"\n", plain(large), LOSTVOLTS_DATE,
                       LOSTVOLTS_VERSION) +
           heading("NAME") + plain(page) + " \\- " + plain(does) + '\n';
}

/// "lostvolts records find" → "lostvolts-records-find".
std::string page_name(const CLI::App& app) {
    std::string name = full_name(app);
    std::replace(name.begin(), name.end(), ' ', '-');
    return name;
}

std::string synopsis(const CLI::App& app) {
    std::string text = bold(full_name(app)) + '\n';
    for (const Usage& u : usages_of(app)) {
        if (u.argument)
            text += slanted(u.brief);
        else
            text += '[' + bold(u.name) + (u.value.empty() ? "" : ' ' + slanted(u.value)) + ']';
        text += '\n';
    }
    return text;
}

std::string options(const CLI::App& app) {
    std::string text;
    for (const Usage& u : usages_of(app)) {
        text += ".TP\n";
        if (u.argument)
            text += slanted(u.name);
        else
            text += bold(u.name) + (u.value.empty() ? "" : ' ' + slanted(u.value));
        text += '\n' + sentence(u.meaning);
    }
    return text;
}

std::string footer(const CLI::App& app) {
    constexpr std::string_view example = "Example: ";
    const std::string words = app.get_footer();
    if (words.empty()) return {};
    if (!words.starts_with(example)) return ".PP\n" + line(words);
    return heading("EXAMPLE") + ".EX\n" + line(words.substr(example.size())) + ".EE\n";
}

std::string list_of_commands(const CLI::App& app, const char* section) {
    std::string text;
    for (const CLI::App* command : app.get_subcommands(nullptr))
        text += ".TP\n" + bold(*section ? page_name(*command) + section : command->get_name()) + '\n' +
                sentence(command->get_description());
    return text;
}

std::string exit_status() { return heading("EXIT STATUS") + line(exit_codes_text()); }

std::string see_also(const CLI::App& app) {
    std::string text;
    for (const CLI::App* other : app.get_parent()->get_subcommands(nullptr))
        if (other != &app) text += ",\n.BR " + plain(page_name(*other)) + " (1)";
    return heading("SEE ALSO") + ".BR lostvolts (1)" + text + '\n';
}

/// Lines of text in short ones, as both typesetters like them; requests and examples stay as they are.
std::string folded(const std::string& page) {
    constexpr std::size_t widest = 78;
    std::string out;
    bool example = false;
    for (std::size_t from = 0, end; from < page.size(); from = end + 1) {
        end = page.find('\n', from);
        std::string rest = page.substr(from, end - from);
        if (rest == ".EX") example = true;
        if (rest == ".EE") example = false;
        while (!example && !rest.starts_with('.') && rest.size() > widest) {
            const std::size_t at = rest.rfind(' ', widest);
            if (at == std::string::npos || at == 0) break;
            out += rest.substr(0, at) + '\n';
            rest.erase(0, at + 1);
            if (rest.starts_with('.')) rest.insert(0, "\\&");
        }
        out += rest + '\n';
    }
    return out;
}

std::string program_page(const CLI::App& app) {
    std::string text = head("lostvolts", "find where a low-voltage DC circuit loses its volts");
    text += heading("SYNOPSIS") + bold("lostvolts") + ' ' + slanted("COMMAND") + " ...\n.br\n" +
            bold("lostvolts") + ' ' + slanted("COMMAND") + ' ' + bold("--help") + "\n.br\n" +
            bold("lostvolts --version") + '\n';
    text +=
        heading("DESCRIPTION") + line(app.get_description()) +
        line("A circuit is a text file: parts between named points, and the states that it is measured in. "
             "Readings are another. The folder of examples has some of each.");
    text += heading("COMMANDS") + list_of_commands(app, "(1)");
    text += heading("OPTIONS") + ".TP\n" + bold("--manual") + " [" + slanted("COMMAND") + "]\n" +
            line("Print the page that the manual has of the program or of a command.") + exit_status();
    text += heading("ENVIRONMENT");
    const auto variable = [&](const char* name, const char* meaning) {
        text += ".TP\n" + bold(name) + '\n' + line(meaning);
    };
    variable("NO_COLOR", "Any value: no colours, on a terminal either.");
    variable("COLUMNS", "The width of the answer where it goes to no terminal.");
    variable("LOSTVOLTS_RECORDS", "The folder of kept jobs; without it, lostvolts in XDG_DATA_HOME or in "
                                  "~/.local/share.");
    text += heading("FILES");
    const auto place = [&](const char* name, const char* meaning) {
        text += ".TP\n" + slanted(name) + '\n' + line(meaning);
    };
    place("share/lostvolts/circuits", "Examples, below the folder that the program is installed in.");
    place("share/lostvolts/schema", "What files and answers look like, as JSON Schema.");
    return text;
}

} // namespace

std::string manual_page(const CLI::App& app) {
    if (!app.get_parent()) return folded(program_page(app));
    std::string text = head(page_name(app), app.get_description()) + heading("SYNOPSIS");
    const auto inner = app.get_subcommands(nullptr);
    if (inner.empty()) {
        text += synopsis(app) + heading("DESCRIPTION") + sentence(app.get_description());
        return folded(text + heading("OPTIONS") + options(app) + exit_status() + footer(app) + see_also(app));
    }
    bool first = true;
    for (const CLI::App* command : inner)
        text += (std::exchange(first, false) ? "" : ".br\n") + synopsis(*command);
    text += heading("DESCRIPTION") + sentence(app.get_description()) + footer(app) + heading("COMMANDS");
    for (const CLI::App* command : inner)
        text += ".SS " + plain(command->get_name()) + '\n' + sentence(command->get_description()) +
                options(*command) + ".PP\n" + line(command->get_footer());
    return folded(text + exit_status() + see_also(app));
}

} // namespace lostvolts
