#include "tests/study/study_folder.h"

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include <sys/wait.h>

#include "tests/sizing/heater.h"

namespace lostvolts::study_tests {

namespace fs = std::filesystem;

const std::string_view heater_order = R"(format = 1
study = "tolerances"
circuits = ["heater.toml"]
output = "table.csv"
samples = 4000
coldest = "25 degC"
warmest = "25 degC"
[[vary]]
part = "lead"
key = "resistance"
values = ["40 mohm", "80 mohm", "120 mohm"]
[[vary]]
part = "heater"
key = "resistance"
values = ["1 ohm", "2 ohm", "3 ohm", "4 ohm", "5 ohm", "6 ohm", "7 ohm", "8 ohm"]
)";

StudyFolder::StudyFolder() {
    std::string name = (fs::temp_directory_path() / "lostvolts-study-XXXXXX").string();
    if (!mkdtemp(name.data())) throw std::runtime_error("no temporary folder");
    path_ = name;
    write("heater.toml", testing::heater_text("0 %", "0 %", "0 %"));
}

StudyFolder::~StudyFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
}

std::string StudyFolder::write(const std::string& name, std::string_view text) const {
    std::ofstream(path_ / name, std::ios::binary) << text;
    return path(name);
}

std::string StudyFolder::read(const std::string& name) const {
    std::ifstream in(path_ / name, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

int shell(const std::string& command, std::string* said) {
    FILE* pipe = popen(("{ " + command + "\n} 2>&1").c_str(), "r");
    if (!pipe) throw std::runtime_error("no shell");
    char buffer[4096];
    for (std::size_t n; (n = fread(buffer, 1, sizeof buffer, pipe)) > 0;)
        if (said) said->append(buffer, n);
    const int status = pclose(pipe);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

} // namespace lostvolts::study_tests
