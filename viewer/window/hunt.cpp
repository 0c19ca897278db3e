#include "viewer/window/hunt.h"

#include <algorithm>
#include <random>
#include <utility>

#include <fmt/format.h>

#include "solver/circuit/names.h"
#include "solver/locate/written_value.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

std::string asked_text(const Circuit& c, const Prospect& p) {
    return fmt::format("{}: {}", c.states[static_cast<std::size_t>(p.state)].name,
                       what_is_read(c, p.quantity, p.red, p.black, p.through));
}

std::string shown_text(const Taken& t) {
    return t.open ? words_text(t.asked.quantity, {0}) : value_text(t.asked.quantity, t.value);
}

} // namespace

void Hunt::begin(Desk& desk) {
    on_ = true;
    game_.reset();
    score_.reset();
    troubles_.clear();
    problems_.clear();
    named_.clear();
    typed_ = {};
    const std::uint64_t seed = std::random_device{}();
    worker_.ask([this, job = desk.session.job(), seed](Watch&) -> Worker::Deliver {
        auto game = std::make_shared<Result<Game>>(start_game(job->circuit, seed));
        return [this, game] {
            if (*game)
                game_ = std::make_shared<Game>(*std::move(*game));
            else
                troubles_ = game->problems();
            if (game_ && !game_->complaints.empty()) typed_.state = game_->complaints.front().state;
        };
    });
}

void Hunt::stop_thinking() {
    if (!worker_.busy()) return;
    worker_.cancel();
    if (!game_) end();
}

void Hunt::clicked(const Circuit& circuit, const Target& target) {
    problems_.clear();
    if (target.point != none) {
        const std::string& name = point_name(circuit, target.point);
        if (!between_two_points(typed_.quantity)) typed_.quantity = Measurand::voltage;
        if (typed_.red.empty() || !typed_.black.empty()) {
            typed_.red = name;
            typed_.black.clear();
        } else {
            typed_.black = name;
        }
    } else if (target.part != none) {
        if (between_two_points(typed_.quantity)) typed_.quantity = Measurand::current;
        typed_.through = circuit.parts[static_cast<std::size_t>(target.part)].name;
    }
}

void Hunt::read_it(Desk& desk) {
    if (game_ && !score_) ask_for(desk);
}

void Hunt::name_part() { to_name_ = game_ && !score_; }

void Hunt::ask_for(Desk& desk) {
    Readings job;
    job.circuit = *game_->circuit;
    TypedReading whole = typed_;
    const auto words = words_of(typed_.quantity); // the machine will say; until then anything
    whole.value =
        words.empty() ? fmt::format("0 {}", usual_unit(typed_.quantity)) : std::string(words.front());
    const UnderstoodReading understood = understand(job, whole);
    problems_ = understood.problems;
    if (!problems_.empty()) return;
    const Circuit& c = *game_->circuit;
    const Prospect prospect{typed_.state, typed_.quantity, find_point(c, understood.reading.red),
                            find_point(c, understood.reading.black),
                            find_part(c, understood.reading.through)};
    const auto taken = ask(*game_, prospect);
    if (!taken) {
        for (const Problem& p : taken.problems()) problems_.push_back({"", p.what, p.write});
        return;
    }
    desk.news = fmt::format("{} {}. That took {:.0f} min.",
                            words.empty()                          ? "It shows"
                            : prospect.quantity == Measurand::lamp ? "It is"
                                                                   : "You hear:",
                            shown_text(*taken), std::max(taken->minutes, 1.0));
    typed_.red.clear();
    typed_.black.clear();
}

void Hunt::show(Desk& desk) {
    const float u = desk.unit();
    ImGui::PushFont(desk.host.large());
    wrapped_text(desk, "A hidden fault");
    ImGui::PopFont();
    for (const Problem& p : troubles_)
        wrapped_text(desk, p.what + (p.write.empty() ? "" : "; " + p.write), Ink::bad);
    if (!game_) {
        if (troubles_.empty()) quiet(desk, "Hiding one …");
        if (ImGui::Button("Back")) end();
        return;
    }
    const Circuit& c = *game_->circuit;
    for (const Complaint& complaint : game_->complaints)
        wrapped_text(desk,
                     fmt::format("In state {}: {}.", c.states[static_cast<std::size_t>(complaint.state)].name,
                                 complaint.words));
    if (score_) {
        verdict(desk);
    } else {
        heading(desk, "Ask for a reading");
        const std::vector<std::string> points = names_of(c.points), parts = names_of(c.parts),
                                       states = names_of(c.states);
        choice(desk, "##state", "while the state is", 120 * u, states, typed_.state);
        flow(120 * u);
        int kind = static_cast<int>(typed_.quantity);
        if (choice(desk, "##kind", "you read", 120 * u, quantity_words(), kind))
            typed_.quantity = static_cast<Measurand>(kind);
        bool enter = false;
        if (between_two_points(typed_.quantity)) {
            blank(desk, {"##red", "red lead on", 150 * u, problem_of(problems_, "red"), &points}, typed_.red);
            flow(150 * u);
            enter =
                blank(desk, {"##black", "black lead on", 150 * u, problem_of(problems_, "black"), &points},
                      typed_.black);
        } else {
            enter = blank(desk, {"##through", "at", 150 * u, problem_of(problems_, "through"), &parts},
                          typed_.through);
        }
        for (const FieldProblem& p : problems_)
            if (p.key.empty()) wrapped_text(desk, "✗ " + p.what, Ink::bad);
        if (ImGui::Button("Read it (Ctrl R)") || enter) ask_for(desk);
        heading(desk, "Or name the part");
        constexpr int frames_to_take_it = 3;
        const bool take = std::exchange(to_name_, false);
        coming_ = take ? frames_to_take_it : std::max(coming_ - 1, 0);
        const bool name = blank(
            desk, {"##named", "it is", 200 * u, problem_of(problems_, "named"), &parts, "", take}, named_);
        flow(90 * u);
        if (button_in_line(desk, "That one") || name) {
            const auto found = completed(named_, parts);
            if (found)
                score_ = score(*game_, {find_part(c, *found), std::nullopt});
            else
                problems_ = {{"named", "which part?", "type its name"}};
        }
    }
    readings(desk);
    ImGui::Dummy({0, 6 * u});
    if (!score_ && ImGui::Button("Give up")) score_ = score(*game_, {});
    if (!score_) flow(90 * u);
    if (ImGui::Button("Another one")) begin(desk);
    flow(150 * u);
    if (ImGui::Button("Back to the sliders")) end();
}

void Hunt::readings(Desk& desk) {
    if (game_->student.taken.empty()) return;
    heading(desk,
            fmt::format("Readings ({}), {:.0f} min", game_->student.taken.size(), game_->student.minutes)
                .c_str());
    for (auto t = game_->student.taken.rbegin(); t != game_->student.taken.rend(); ++t) {
        wrapped_text(desk, fmt::format("{}: {}", asked_text(*game_->circuit, t->asked), shown_text(*t)),
                     Ink::measured);
    }
}

void Hunt::verdict(Desk& desk) {
    const Circuit& c = *game_->circuit;
    const Fault& hidden = game_->hidden;
    ImGui::PushFont(desk.host.bold());
    wrapped_text(desk,
                 score_->named.part == none ? "Given up."
                 : score_->right_part       ? "✓ Right."
                                            : "✗ No.",
                 score_->right_part ? Ink::good : Ink::bad);
    ImGui::PopFont();
    wrapped_text(desk, finding(c, {hidden.part, hidden.kind, hidden.size, hidden.size, hidden.size}));
    wrapped_text(desk,
                 fmt::format("You took {:.0f} minutes with {} reading{}; the program's own plan takes {:.0f} "
                             "minutes with {}. Marks: {:.0f} of 100.",
                             game_->student.minutes, game_->student.taken.size(),
                             game_->student.taken.size() == 1 ? "" : "s", game_->own.minutes,
                             game_->own.taken.size(), 100 * score_->marks));
    heading(desk, "The program's way");
    for (const Taken& t : game_->own.taken)
        quiet(desk, fmt::format("{}: {}", asked_text(c, t.asked), shown_text(t)));
}

} // namespace lostvolts
