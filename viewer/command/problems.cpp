#include "viewer/command/problems.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace lostvolts {
namespace {

constexpr std::size_t most_spelt_out = 100;
constexpr std::size_t most_names = 12;

std::string plural(std::size_t n, std::string_view one) {
    return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s");
}

} // namespace

std::string count_mistakes(const Problems& problems) {
    std::set<std::string_view> files;
    for (const Problem& p : problems)
        if (!p.file.empty()) files.insert(p.file);
    std::string text = plural(problems.size(), "mistake");
    if (!files.empty()) text += " in " + plural(files.size(), "file");
    return text;
}

std::string report_problems(const Problems& problems) {
    std::string text;
    const std::size_t spelt_out = std::min(problems.size(), most_spelt_out);
    for (std::size_t k = 0; k < spelt_out; ++k) text += describe(problems[k]) + '\n';
    if (problems.size() > spelt_out)
        text += fmt::format("and {} more; --json lists them all\n", problems.size() - spelt_out);
    return text;
}

Answer refuse(int code, const Problems& problems, bool json) {
    Answer answer{code, {}, report_problems(problems)};
    if (code == exit_bad_input && problems.size() > 1) answer.err += count_mistakes(problems) + '\n';
    if (json) answer.out = written(Json{{"problems", json_of(problems)}});
    return answer;
}

Problem unknown_name(std::string_view what, std::string_view name, const std::vector<std::string>& known,
                     std::string file) {
    Problem problem;
    problem.file = std::move(file);
    problem.what = fmt::format("there is no {} \"{}\"", what, name);
    if (known.empty()) {
        problem.write = fmt::format("the circuit has no {}s", what);
        return problem;
    }
    if (const auto near = nearest(name, known)) problem.write = fmt::format("did you mean \"{}\"? ", *near);
    const std::vector<std::string> first(
        known.begin(), known.begin() + static_cast<std::ptrdiff_t>(std::min(known.size(), most_names)));
    problem.write += fmt::format("the circuit has \"{}\"", fmt::join(first, "\", \""));
    if (known.size() > first.size())
        problem.write += fmt::format(" and {} more", known.size() - first.size());
    return problem;
}

} // namespace lostvolts
