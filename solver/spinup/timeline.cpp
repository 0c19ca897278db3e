#include "solver/spinup/timeline.h"

#include <algorithm>
#include <limits>
#include <random>

namespace lostvolts {
namespace {

/// Of a contact, the openings after it has made: its own line, else the one for every contact.
const Bounce* bounce_for(const SpinUpRequest& request, PartId contact) {
    const Bounce* general = nullptr;
    for (const Bounce& b : request.bounce) {
        if (b.contact == contact) return &b;
        if (b.contact == none) general = &b;
    }
    return general;
}

} // namespace

std::vector<Opening> bounce_of(const std::vector<Time<>>& lasts) {
    std::vector<Opening> openings;
    Time<> after{};
    for (const Time<>& each : lasts) {
        after += each; // closed for as long
        openings.push_back({after, each});
        after += each;
    }
    return openings;
}

std::vector<Opening> random_bounce(int count, Time<> longest, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::vector<Time<>> lasts;
    Time<> most = longest;
    for (int k = 0; k < count; ++k, most *= 0.5) {
        const double unit = static_cast<double>(random() >> 11) * 0x1p-53;
        lasts.push_back(most * (0.3 + 0.7 * unit));
    }
    return bounce_of(lasts);
}

Timeline::Timeline(const Model& model, const SpinUpRequest& request) : request_(request) {
    const double closing = si(request.closing);
    for (std::size_t m = 0; m < model.movers.size(); ++m) {
        if (!model.movers[m].by_state) continue;
        close(model, static_cast<int>(m), closing);
        if (request.pulse)
            add({closing + si(*request.pulse), Due::What::open, static_cast<int>(m), none, none});
    }
    if (model.from_dead) add({closing, Due::What::sources_on, none, none, none});
    for (std::size_t c = 0; c < request.changes.size(); ++c)
        add({si(request.changes[c].at), Due::What::change, none, static_cast<int>(c), none});
    for (std::size_t c = 0; c < request.courses.size(); ++c)
        for (std::size_t k = 0; k < request.courses[c].at.size(); ++k)
            add({si(request.courses[c].at[k]), Due::What::corner, none, static_cast<int>(c),
                 static_cast<int>(k)});
}

void Timeline::add(Due due) {
    const auto place = std::find_if(due_.begin(), due_.end(), [&](const Due& d) { return d.at <= due.at; });
    due_.insert(place, due);
}

double Timeline::next() const {
    return due_.empty() ? std::numeric_limits<double>::infinity() : due_.back().at;
}

Due Timeline::take() {
    const Due due = due_.back();
    due_.pop_back();
    return due;
}

void Timeline::close(const Model& model, int mover, double at) {
    add({at, Due::What::close, mover, none, none});
    const Bounce* bounce = bounce_for(request_, model.movers[static_cast<std::size_t>(mover)].part);
    if (!bounce) return;
    for (const Opening& o : bounce->openings) {
        add({at + si(o.after), Due::What::open, mover, none, none});
        add({at + si(o.after) + si(o.lasts), Due::What::close, mover, none, none});
    }
}

void Timeline::open(int mover, double at) {
    std::erase_if(due_, [&](const Due& d) { return d.mover == mover; });
    add({at, Due::What::open, mover, none, none});
}

} // namespace lostvolts
