#include "solver/units/patience.h"

#include <utility>

namespace lostvolts {
namespace {

thread_local const std::atomic<bool>* told_here = nullptr;

} // namespace

Patience::Patience(const std::atomic<bool>& told) : before_(std::exchange(told_here, &told)) {}

Patience::~Patience() { told_here = before_; }

void give_up_if_told() {
    if (told_here && told_here->load(std::memory_order_relaxed)) throw GivenUp();
}

} // namespace lostvolts
