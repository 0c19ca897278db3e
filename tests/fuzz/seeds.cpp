// What the readers are first fed with.

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

#include "tests/fuzz/readers.h"

namespace lostvolts::fuzz {
namespace {

namespace fs = std::filesystem;

std::string content(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// The bundled files, circuits or readings, in the order of their names.
std::vector<fs::path> bundled(bool circuits) {
    std::vector<fs::path> files;
    for (const auto& entry : fs::recursive_directory_iterator(LOSTVOLTS_SOURCE "/circuits"))
        if (entry.path().extension() == ".toml" && (entry.path().filename() == "circuit.toml") == circuits)
            files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    return files;
}

std::vector<std::string> contents(const std::vector<fs::path>& files) {
    std::vector<std::string> texts;
    texts.reserve(files.size());
    for (const fs::path& file : files) texts.push_back(content(file));
    return texts;
}

/// A start that rises to a stall and falls to a run, with ripple, in the ways that people write such files.
std::vector<std::string> captures() {
    const auto start = [](char separator, char point, std::string_view header, double scale) {
        std::ostringstream out;
        out << header << '\n';
        for (int k = 0; k < 300; ++k) {
            const double t = k * 1e-3, run = t < 0.05 ? 0 : 9 + 15 * std::exp(-(t - 0.05) / 0.04);
            const double amps = t < 0.05 ? 0 : run + 0.3 * std::sin(2 * 3.14159265 * 180 * t);
            std::ostringstream row;
            row << t * scale << separator << 12.6 - 0.04 * amps << separator << amps << '\n';
            std::string text = row.str();
            if (point != '.') std::replace(text.begin(), text.end(), '.', point);
            out << text;
        }
        return out.str();
    };
    return {start(',', '.', "time (s),volts (V),amps (A)", 1), start(';', ',', "Zeit (ms);U (V);I (A)", 1e3),
            start('\t', '.', "t\tV\tA\ns\tV\tA", 1), "time,amps\n0,1\n0.1,nan\n0.2,x\n"};
}

} // namespace

std::string small_circuit() {
    const auto part = [](std::string_view name, std::string_view kind, std::string_view from,
                         std::string_view to, std::string_view more) {
        std::ostringstream text;
        text << "[[part]]\nname = \"" << name << "\"\nkind = \"" << kind << "\"\nfrom = \"" << from
             << "\"\nto = \"" << to << "\"\n"
             << more << "\n\n";
        return text.str();
    };
    return "format = 1\nname = \"Winch\"\nground = \"battery -\"\n\n" +
           part("battery", "battery", "battery -", "battery +", "emf = \"12.6 V\"\nresistance = \"9 mohm\"") +
           part("feed", "wire", "battery +", "switch in", "size = \"4 mm2\"\nlength = \"3 m\"") +
           part("switch", "switch", "switch in", "winch +", "resistance = \"5 mohm\"") +
           part("winch", "motor", "winch +", "winch -",
                "rated = \"12 V\"\nrun_current = \"9 A\"\nstall_current = \"24 A\"\nrun_speed = \"3400 "
                "rpm\"") +
           part("ground", "ground", "winch -", "battery -", "resistance = \"3 mohm\"") +
           "[[state]]\nname = \"run\"\nclosed = [\"switch\"]\n[[state]]\nname = \"stall\"\nclosed = "
           "[\"switch\"]\nlocked = [\"winch\"]\n";
}

std::string small_readings() {
    return "circuit = \"circuit.toml\"\n[[reading]]\nstate = \"run\"\nquantity = \"voltage\"\nred = \"winch "
           "+\"\n"
           "black = \"winch -\"\nvalue = \"10.9 V\"\n[[reading]]\nstate = \"run\"\nquantity = "
           "\"current\"\nthrough = "
           "\"winch\"\nvalue = \"7.7 A\"\n[[reading]]\nstate = \"stall\"\nquantity = \"lamp\"\nred = \"winch "
           "-\"\n"
           "black = \"battery -\"\nvalue = \"dim\"\n";
}

std::vector<std::string> seeds(std::string_view reader) {
    if (reader == "values")
        return {"12.6 V",   "250 mohm",   "14 AWG",    "2/0 AWG", "2.5 mm2",
                "85 degC",  "3400 rpm",   "0.025 V s", "25 min",  "0.5 % + 2 counts",
                "0.5%+2",   "1e-3 kg m2", "12 Ah",     "11 ft",   "85 %",
                "-40 degF", "1,5 V",      "10 mV/A",   "nan V",   "1e400 A",
                "0x10 V",   "µΩ",         "5 N m",     "3.3 kW"};
    if (reader == "circuit") return contents(bundled(true));
    if (reader == "walk")
        return {
            content(LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/walk.txt"),
            "battery 25.2 V\nfuse 10 A to box\nrelay\nlamp 24 V 70 W\nfrom box\nswitch\nheater 24 V 100 W\n"
            "from battery -\ncharger 28 V 60 A to battery +\n",
            "battery 85 % 600 A\nsplice\ndiode\nsolenoid 8 ohm\nresistor \"to # be\" 1 ohm to here, 5 min, "
            "dark\n"
            "capacitor 2200 uF\n"};
    if (reader == "readings") return contents(bundled(false));
    if (reader == "capture") return captures();
    if (reader == "kept_job")
        return {
            "format = 1\nid = \"0a1b2c\"\ntitle = \"Plough\"\nmachine = \"No 7\"\ndate = \"2026-02-03\"\n"
            "labels = [\"winter\"]\ncontent = \"ab\"\nversion = \"0.1.0\"\n\n[[file]]\nrole = \"circuit\"\n"
            "name = \"circuit.toml\"\nbytes = 12\nsha256 = \"00\"\n\n[[figure]]\nwhat = \"run current\"\n"
            "where = \"spreader motor\"\nvalue = \"9.05 A\"\nsource = \"readings.toml\"\n"};
    if (reader == "words")
        return {"check\ncircuit.toml",
                "draft\nwalk.txt\n-o\nnew.toml",
                "note\nreadings.toml\n10.9 V winch + to winch - in run",
                "note\nnew.toml\n--circuit\ncircuit.toml\n--notebook\nnotes.txt",
                "predict\ncircuit.toml\n--state\nrun",
                "locate\nreadings.toml\n--json",
                "size\ncircuit.toml",
                "compare\ncircuit.toml\n--json",
                "records\nadd\nreadings.toml",
                "records\nfind\npump",
                "report\nreadings.toml\n-o\nout.html",
                "inrush\ncircuit.toml\n--csv\nout.csv",
                "view\ncircuit.toml\n--picture\nout.svg",
                "practice\ncircuit.toml\n--seed\n3",
                "--help"};
    return {small_circuit() + "\n%%\n" + small_readings()};
}

} // namespace lostvolts::fuzz
