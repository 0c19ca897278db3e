// Captures as instruments and people write them, and as they break.
#include "solver/waveform/capture.h"

#include <doctest/doctest.h>

#include <functional>

#include <fmt/format.h>

#include "tests/waveform/simulated.h"

using namespace lostvolts;

namespace {

CaptureOptions told(const std::function<void(CaptureOptions&)>& tell) {
    CaptureOptions options;
    tell(options);
    return options;
}

/// Rows of one form, from 0 in steps of a millisecond: volts 12 + k/100, amperes k/10.
std::string rows(int count, const std::function<std::string(int)>& row) {
    std::string text;
    for (int k = 0; k < count; ++k) text += row(k) + "\n";
    return text;
}
std::string pair(int k) { return fmt::format("{:.3f},{:.2f}", 0.001 * k, 12 + 0.01 * k); }
std::string plain(int k) { return fmt::format("{:.3f},{:.2f},{:.1f}", 0.001 * k, 12 + 0.01 * k, 0.1 * k); }

Capture good(const std::string& text, const CaptureOptions& options = {}) {
    auto c = read_capture_text(text, "start.csv", options);
    if (!c) FAIL(describe(c.problems()[0]));
    return *std::move(c);
}
void same(const Capture& c, bool volts = true, bool amps = true) {
    REQUIRE(c.size() == 40);
    CHECK(c.step_seconds == doctest::Approx(0.001).epsilon(1e-9));
    for (int k : {0, 7, 39}) {
        if (volts)
            CHECK(c.volts[static_cast<std::size_t>(k)] == doctest::Approx(12 + 0.01 * k).epsilon(1e-12));
        if (amps) CHECK(c.amps[static_cast<std::size_t>(k)] == doctest::Approx(0.1 * k).epsilon(1e-12));
    }
}
std::string trouble(const std::string& text, const CaptureOptions& options = {}) {
    const auto c = read_capture_text(text, "start.csv", options);
    REQUIRE(!c);
    return describe(c.problems()[0]);
}
bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }
std::string all(const Capture& c) {
    std::string text;
    for (const auto& r : c.repairs) text += r + "\n";
    return text;
}

} // namespace

TEST_CASE("one capture reads alike however its columns are named and parted") {
    // Expected, by hand: the same numbers in each form.
    same(good("time (s),volts (V),amps (A)\n" + rows(40, plain)));
    same(good("t_ms;u_mV;i_mA\r\n" +
              rows(40, [](int k) { return fmt::format("{};{};{}\r", k, 12000 + 10 * k, 100 * k); })));
    same(good("Time\tVoltage\tCurrent\nms\tV\tA\n" + rows(40, [](int k) {
                  return fmt::format("{},0\t{},{:02}\t{},{}", k, 12 + k / 100, k % 100, k / 10, k % 10);
              })));
    same(good(
        "Model,none\nRecord length,40\n\n\"Time (µs)\",\"CH1 (V)\",\"clamp (mV)\"\n" +
            rows(40,
                 [](int k) { return fmt::format("\"{}\",\"{:.2f}\",\"{}\"", 1000 * k, 12 + 0.01 * k, k); }),
        told([](CaptureOptions& o) { o.clamp = std::string("10 mV/A"); })));
    same(good(rows(40, plain), told([](CaptureOptions& o) {
                  o.time_column = std::string("1");
                  o.volts_column = std::string("2");
                  o.amps_column = std::string("3");
              })));
    same(good("a,b,c\n" + rows(40, plain), told([](CaptureOptions& o) {
                  o.time_column = std::string("a");
                  o.volts_column = std::string("B");
                  o.amps_column = std::string("c");
                  o.time_unit = std::string("s");
              })));
    same(good("\xEF\xBB\xBFtime [s], current [A]\n" +
              rows(40, [](int k) { return fmt::format("{:.3f}, {:.1f}", 0.001 * k, 0.1 * k); })),
         false);
}

TEST_CASE("what the header leaves open is told, not guessed in silence") {
    // Expected, by hand.
    CHECK(has(all(good("time,volts (V)\n" + rows(40, pair))),
              "The time column has no unit; its numbers are taken as seconds. --time-unit says otherwise."));
    CHECK(has(trouble("time (s),CH1 (V),CH2 (V)\n" + rows(40, plain)),
              "start.csv:1:1: 2 columns may be volts: \"CH1 (V)\", \"CH2 (V)\""));
    CHECK(has(trouble("time (s),clamp (mV)\n" + rows(40, pair)), "--clamp \"10 mV/A\""));
    CHECK(has(trouble("time (s),height,depth\n" + rows(40, plain)),
              "no column says that it is volts or amperes"));
    CHECK(has(trouble("time (s),volts (V)\n" + rows(40, pair),
                      told([](CaptureOptions& o) { o.volts_column = "U9"; })),
              "has no column \"U9\""));
    CHECK(has(
        trouble("time (s),current (A)\n" + rows(40, pair), told([](CaptureOptions& o) { o.clamp = "ten"; })),
        "--clamp \"ten\" is no clamp's scale"));
}

TEST_CASE("a file that can't be a capture is refused with its line and what to do") {
    // Expected, by hand.
    CHECK(has(trouble(""), "start.csv: is empty"));
    CHECK(has(trouble("\n\n  \n"), "is empty"));
    CHECK(has(trouble(std::string("\xFF\xFEt\0i\0m\0e\0", 10)), "is UTF-16 or no text at all"));
    CHECK(has(trouble(rows(40, plain)), "start.csv:1:1: has no header above the numbers"));
    CHECK(has(trouble("time (s),volts (V)\nnothing here\n"), "has no row of numbers"));
    CHECK(has(trouble("time (s),volts (V)\n0,1\n1,2\n"), "has only 2 rows of numbers"));
    CHECK(has(trouble("time (s),volts (V)\n0,1\n"), "has only 1 row of numbers"));
    CHECK(has(trouble("time (s),volts (V)\r0,1\r1,2\r"),
              "start.csv:1:1: has lines that end in carriage returns alone"));
    // Rows without numbers at the top are rows, not a heading.
    const auto lost = [](int k) { return k < 30 ? fmt::format("{:.3f},NaN,NaN", 0.001 * k) : plain(k); };
    CHECK(
        has(trouble("time (s),volts (V),amps (A)\n" + rows(40, lost)),
            "start.csv:2:1: 30 of 40 rows can't be read: text, NaN or nothing stands where a number should"));
    CHECK(has(trouble("time (s),volts (V),amps (A)\n" +
                      rows(40, [](int k) { return fmt::format("0,{:03},12,{:02},0,{}", k, k, k % 10); })),
              "decimal commas"));
    CHECK(has(trouble("time (s),volts (V)\n" +
                      rows(40, [](int k) { return k % 4 != 2 ? pair(k) : std::string("x,y"); })),
              "10 of 40 rows can't be read"));
    CHECK(has(trouble("time (s),volts (V)\n" + rows(40, pair) + rows(40, pair)),
              "start.csv:42:1: time stands still or runs backwards here"));
    CHECK(read_capture("/nowhere/start.csv").problems()[0].what == "there is no such file");
    CHECK(read_capture("/tmp").problems()[0].what == "is a folder");
}

TEST_CASE("single bad rows are mended and each repair is told with its line") {
    // Expected, by hand: 40 rows, one of them replaced; the line of row k is k + 2.
    const auto with = [](int bad, const std::string& text) {
        return "time (s),volts (V),amps (A)\n" + rows(40, [&](int k) { return k == bad ? text : plain(k); });
    };
    for (const char* bad : {"0.007,NaN,0.7", "0.007,12.07,", "0.007,OL,0.7", "lead slipped"}) {
        const Capture c = good(with(7, bad));
        same(c); // the straight line between the neighbours is exact here
        CHECK_MESSAGE(has(all(c), "1 row skipped"), all(c));
        CHECK(has(all(c), "line 9"));
    }
    const Capture back = good(with(7, "0.002,12.07,0.7"));
    same(back);
    CHECK(has(all(back), "1 row skipped: time does not go forward (line 9)."));
    const Capture cut = good("time (s),volts (V),amps (A)\n" + rows(40, plain) + "0.040,12");
    same(cut);
    CHECK(has(all(cut), "1 row skipped: the file ends within line 42."));
}

TEST_CASE("a gap is bridged when it is small and cut at when it is large") {
    // Expected, by hand: rows 10 to 12 missing of 40 are 8 %; after the large gap the longer stretch is kept.
    const std::string head = "time (s),volts (V),amps (A)\n";
    const Capture small = good(head + rows(10, plain) + rows(27, [](int k) { return plain(k + 13); }));
    same(small);
    CHECK(
        has(all(small), "1 gap in time bridged by straight lines, the longest 4.00 ms (first at line 12)."));
    const Capture large = good(head + rows(20, plain) + rows(60, [](int k) { return plain(k + 500); }));
    CHECK(large.size() == 60);
    CHECK(large.start_seconds == doctest::Approx(0.5));
    CHECK(has(all(large), "only the longest stretch without one is used, lines 22 to 81."));
}

TEST_CASE("a time column with too few digits is spread evenly") {
    // Expected, by hand: ten rows to a step of the last digit, 1 ms apart in truth.
    const Capture c = good("time (s),amps (A)\n" +
                           rows(1000, [](int k) { return fmt::format("{:.2f},{}", 0.001 * k, k % 7); }));
    CHECK(c.size() == 1000);
    CHECK(c.step_seconds == doctest::Approx(1.00 / 999).epsilon(1e-6));
    CHECK(has(all(c), "too few digits"));
}

TEST_CASE("a capture written and read again is the same") {
    // Expected: the simulated capture itself, to the six digits written. Longer than one piece of the reader.
    const Capture c = [] {
        waveform_tests::Instrument scope;
        scope.rate = 100e3;
        scope.noise = 0.01;
        return waveform_tests::simulate({}, scope);
    }();
    const Capture again = good(waveform_tests::csv_of(c));
    REQUIRE(again.size() == c.size());
    for (std::size_t k = 0; k < c.size(); k += 97) {
        CHECK(again.amps[k] == doctest::Approx(c.amps[k]).epsilon(1e-5));
        CHECK(again.volts[k] == doctest::Approx(c.volts[k]).epsilon(1e-5));
    }
}

TEST_CASE("columns of other things may stand beside, whatever their units") {
    // Expected, by hand: speed, temperature and a stranger's unit are passed over, in a units row, in the
    // names, or with nothing said; a comma within quotes parts no column.
    const auto more = [](int k) { return plain(k) + fmt::format(",{},25.0,7", 3000 + k); };
    same(good("time,volts,amps,speed,room,x\ns,V,A,rpm,degC,furlong\n" + rows(40, more)));
    same(good("time (s),volts (V),amps (A),speed (rpm),room,x\n" + rows(40, more)));
    same(good("time,\"volts, battery + to battery -\",\"amps, rinse pump\",\"speed, rinse pump\",a,b\n"
              "s,V,A,rpm,,\n" +
              rows(40, more)));
    same(good("s,V,A,rpm,,\n" + rows(40, more)));
    const auto first = [](int k) {
        return fmt::format("{},{:.3f},{:.2f},{:.1f}", 3000 + k, 0.001 * k, 12 + 0.01 * k, 0.1 * k);
    };
    same(good("speed,time,volts,amps\nrpm,s,V,A\n" + rows(40, first)));
}
