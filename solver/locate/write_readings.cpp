#include "solver/locate/write_readings.h"

#include <utility>

#include "solver/circuit/edit.h"

namespace lostvolts {

std::string first_lines(std::string_view circuit) {
    const auto text = edit_values("", {{"", "", "circuit", std::string(circuit)}}, "");
    return text ? *text : std::string();
}

std::string add_reading(std::string_view text, const WrittenReading& r) {
    std::vector<Field> fields;
    const std::pair<const char*, const std::string&> all[] = {
        {"state", r.state},     {"quantity", r.quantity}, {"red", r.red},     {"black", r.black},
        {"through", r.through}, {"value", r.value},       {"meter", r.meter}, {"note", r.note}};
    for (const auto& [key, value] : all)
        if (!value.empty()) fields.push_back({key, value});
    return append_table(text, "reading", fields);
}

std::string last_meter(const Readings& job, Measurand quantity) {
    for (auto r = job.readings.rbegin(); r != job.readings.rend(); ++r)
        if (r->quantity == quantity && r->meter != none)
            return job.meters[static_cast<std::size_t>(r->meter)].name;
    return {};
}

Result<std::string> change_value(std::string_view text, int reading, std::string_view value,
                                 const std::string& file) {
    return edit_values(text, {{"reading", "", "value", std::string(value), reading}}, file);
}

Result<std::string> take_out_reading(std::string_view text, int reading, const std::string& file) {
    return remove_table(text, "reading", reading, file);
}

} // namespace lostvolts
