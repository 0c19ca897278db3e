// Question: does `locate` keep its word? Of the faults given 90 %, are nine in ten right, does a 90 %
// interval hold the true size nine times in ten, and how many minutes of probing does its own advice save?
//
// Random harnesses (series, branched, shared ground; 8 to 60 parts), faults by the odds, true part numbers
// and meters drawn, one to twelve readings by the nonlinear network (tests/locate/random_job.h says how).
// Nothing is timed; the answers depend on seed and number of jobs alone, not on threads.
//
//   bench_calibration [--jobs N] [--probing N] [--brute N] [--seed S] [--threads T] [--dump FILE]
//                     [--beside N]: jobs of each table beside the main one, a third when not told
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <string>
#include <thread>
#include <tuple>

#include "tests/bench/conditions.h"
#include "tests/bench/technician.h"
#include "tests/locate/brute_network.h"
#include "tests/locate/calibration.h"
#include "tests/locate/likeness.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

struct Options {
    int jobs = 6000;
    int probing = 300;
    int brute = 200;
    int threads = 2;
    int beside = -1;
    std::uint64_t seed = 20261125;
    std::string dump;
};

/// One generator per job, so that a job is the same whoever draws it.
Random generator(std::uint64_t seed, int number) {
    std::seed_seq mix{seed, seed >> 32, static_cast<std::uint64_t>(number)};
    return Random(mix);
}

void share_out(int count, int threads, const std::function<void(int)>& work) {
    std::vector<std::thread> running;
    for (int t = 0; t < threads; ++t)
        running.emplace_back([&, t] {
            for (int k = t; k < count; k += threads) work(k);
        });
    for (std::thread& t : running) t.join();
}

JobRequest request_for(Random& r, int number) {
    JobRequest q;
    q.family = families[static_cast<std::size_t>(number) % families.size()];
    q.size = 8 + below(r, 53);
    q.readings = 1 + below(r, 12);
    return q;
}

enum class Truths { as_believed, in_the_drawing, not_modelled };

Truth truth_of(Random& r, Truths truths) {
    if (truths == Truths::not_modelled) return Truth::unmodelled;
    Truth truth = random_truth(r);
    while (truths == Truths::in_the_drawing && truth == Truth::unmodelled) truth = random_truth(r);
    return truth;
}

std::vector<Judged> judge_jobs(const Options& o, int jobs, std::uint64_t stream, Blunders blunders,
                               Truths truths, MeterErrors errors = MeterErrors::shared) {
    std::vector<Judged> all(static_cast<std::size_t>(jobs));
    share_out(jobs, o.threads, [&](int k) {
        Random r = generator(o.seed + stream, k);
        JobRequest q = request_for(r, k);
        q.blunders = blunders;
        q.errors = errors;
        q.truth = truth_of(r, truths);
        all[static_cast<std::size_t>(k)] = judge(random_job(r, q), q.family);
    });
    return all;
}

void print_share(const Share& s) {
    if (s.of == 0)
        std::printf("       –      ");
    else
        std::printf(" %5.1f ± %3.1f %%", 100 * s.share, 100 * s.error);
}

void print_row(const char* name, const std::vector<Judged>& all,
               const std::function<bool(const Judged&)>& chosen) {
    std::vector<const Judged*> some;
    for (const Judged& j : all)
        if (chosen(j)) some.push_back(&j);
    if (some.empty()) return;
    const Calibration c = calibration_of(some);
    std::printf("%-22s %6d", name, c.jobs);
    print_share(c.first);
    print_share(c.three);
    std::printf("  %.3f ± %.3f  %.4f (%.4f)", c.brier, c.brier_error, c.expected_error, c.expected_by_chance);
    print_share(c.sure);
    std::printf(" of %4d (said %4.1f)", c.sure.of, 100 * c.sure_said);
    print_share(c.inside_50);
    print_share(c.inside_90);
    print_share(c.narrowed_inside_50);
    print_share(c.narrowed_inside_90);
    std::printf(" of %d\n", c.narrowed_inside_90.of);
}

void print_head(const char* title) {
    std::printf("\n%s\n%-22s %6s %13s %13s %14s %16s %33s %13s %13s %13s %13s\n", title, "", "jobs", "first",
                "among three", "Brier", "ECE (by chance)", "right where said >= 95 %", "inside 50 %",
                "inside 90 %", "narrowed 50 %", "narrowed 90 %");
}

void print_bins(const std::vector<Judged>& all) {
    std::vector<const Judged*> some;
    for (const Judged& j : all) some.push_back(&j);
    std::printf("\nReliability of the first suspect\n    bin        jobs   said    right\n");
    const Calibration c = calibration_of(some);
    for (std::size_t b = 0; b < c.bins.size(); ++b) {
        const Bin& bin = c.bins[b];
        const Share s = share_of(bin.hits, bin.count);
        std::printf("  %3zu–%-3zu %% %7d  %5.1f  %5.1f ± %.1f %%\n", 10 * b, 10 * b + 10, bin.count,
                    100 * bin.said, 100 * s.share, 100 * s.error);
    }
}

void print_table(const char* title, const std::vector<Judged>& all) {
    print_head(title);
    print_row("all", all, [](const Judged&) { return true; });
    print_row("in the drawing", all, [](const Judged& j) { return j.truth != Truth::unmodelled; });
    for (const Family f : families)
        print_row(std::string(name_of(f)).c_str(), all, [f](const Judged& j) { return j.family == f; });
    print_row("1 to 3 readings", all, [](const Judged& j) { return j.readings <= 3; });
    print_row("4 to 7 readings", all, [](const Judged& j) { return j.readings > 3 && j.readings <= 7; });
    print_row("8 to 12 readings", all, [](const Judged& j) { return j.readings > 7; });
    print_row("truth: healthy", all, [](const Judged& j) { return j.truth == Truth::healthy; });
    print_row("truth: a fault", all, [](const Judged& j) { return j.truth == Truth::fault; });
    print_row("truth: not modelled", all, [](const Judged& j) { return j.truth == Truth::unmodelled; });
    print_row("with a blunder", all, [](const Judged& j) { return j.blundered > 0; });
    for (const std::string_view kind : fault_names())
        print_row(std::string(kind).c_str(), all,
                  [&](const Judged& j) { return j.kind && name_of(*j.kind) == kind; });
}

/// What the searches of one way of probing took.
struct Tally {
    int settled = 0, right = 0, jobs = 0;
    double minutes = 0, squares = 0, chosen = 0, readings = 0;

    void count(const Search& s) {
        ++jobs;
        settled += s.settled, right += s.right;
        minutes += s.minutes, squares += s.minutes * s.minutes;
        chosen += s.chosen_minutes;
        readings += s.readings;
    }
    double mean() const { return minutes / jobs; }
    double error() const { return std::sqrt((squares / jobs - mean() * mean()) / jobs); }
};

void compare_probing(const Options& o) {
    constexpr std::array ways{Probing::advice, Probing::half_split, Probing::random,
                              Probing::volts_and_amperes};
    constexpr std::array names{"the program's advice", "half-split", "random probing",
                               "advice, V and A only"};
    std::vector<std::array<Search, ways.size()>> all(static_cast<std::size_t>(o.probing));
    share_out(o.probing, o.threads, [&](int k) {
        Random r = generator(o.seed + 9, k);
        const Family family = families[static_cast<std::size_t>(k) % families.size()];
        const Complaint complaint = random_complaint(r, family, 8 + below(r, 25));
        const std::uint64_t seed = r();
        for (std::size_t w = 0; w < ways.size(); ++w)
            all[static_cast<std::size_t>(k)][w] = search(complaint, ways[w], seed);
    });
    std::printf(
        "\nProbing until a suspect, or a group that no reading could split, has 95 %%: %d complaints\n"
        "%-16s %-22s %15s %15s %14s %10s %14s %22s\n",
        o.probing, "", "", "minutes, mean", "to half-split's", "after the 1st", "readings", "settled",
        "right where settled");
    for (std::size_t f = 0; f <= families.size(); ++f) {
        std::array<Tally, ways.size()> tally;
        for (std::size_t k = 0; k < all.size(); ++k)
            if (f == families.size() || k % families.size() == f)
                for (std::size_t w = 0; w < ways.size(); ++w) tally[w].count(all[k][w]);
        for (std::size_t w = 0; w < ways.size(); ++w) {
            const Tally& t = tally[w];
            const Share settled = share_of(t.settled, t.jobs), right = share_of(t.right, t.settled);
            std::printf(
                "%-16s %-22s %8.1f ± %4.1f %15.2f %14.2f %10.1f   %5.1f ± %3.1f %%  %5.1f ± %3.1f %%\n",
                w > 0                  ? ""
                : f == families.size() ? "all"
                                       : std::string(name_of(families[f])).c_str(),
                names[w], t.mean(), t.error(), t.mean() / tally[1].mean(), t.chosen / tally[1].chosen,
                t.readings / t.jobs, 100 * settled.share, 100 * settled.error, 100 * right.share,
                100 * right.error);
        }
    }
}

void dump(const std::string& path, const std::vector<Judged>& all) {
    std::FILE* f = std::fopen(path.c_str(), "w");
    if (!f) return std::perror(path.c_str());
    std::fprintf(f, "job,family,parts,readings,blundered,truth,kind,first,right,of_truth,of_part,unmodelled,"
                    "below,width\n");
    for (std::size_t k = 0; k < all.size(); ++k) {
        const Judged& j = all[k];
        std::fprintf(f, "%zu,%s,%d,%d,%d,%d,%s,%.6f,%d,%.6f,%.6f,%.6f,%.6f,%.6f\n", k,
                     std::string(name_of(j.family)).c_str(), j.parts, j.readings, j.blundered,
                     static_cast<int>(j.truth), j.kind ? std::string(name_of(*j.kind)).c_str() : "", j.first,
                     j.right, j.of_truth, j.of_part, j.unmodelled, j.below.value_or(-1), j.width);
    }
    std::fclose(f);
}

/// Machines that are not as drawn, by whether the readings can tell: how often the answer admits it.
void print_admitted(const std::vector<Judged>& all, const std::vector<Likeness>& like) {
    constexpr double unlikely = 0.05; // that a machine with the closest modelled fault is read so far off
    std::printf("\nIs it admitted that no modelled fault fits (not modelled first, contradictory, or no part "
                "with 90 %%)?\n%-62s %6s %13s %38s %18s %12s\n",
                "", "jobs", "admitted", "of the others: a reading named wrong", "two or more", "neither");
    const auto row = [&](const char* name, const std::function<bool(const Likeness&)>& chosen) {
        int jobs = 0, admitted = 0, named = 0, twice = 0;
        for (std::size_t k = 0; k < all.size(); ++k) {
            if (!chosen(like[k])) continue;
            ++jobs;
            if (admits(all[k]))
                ++admitted;
            else
                named += all[k].dismissed == 1, twice += all[k].dismissed > 1;
        }
        std::printf("%-62s %6d", name, jobs);
        print_share(share_of(admitted, jobs));
        std::printf(" %38d %18d %12d\n", named, twice, jobs - admitted - named - twice);
    };
    row("all", [](const Likeness&) { return true; });
    row("some modelled fault, or none, reads the same: nothing can tell",
        [&](const Likeness& l) { return l.chance >= unlikely; });
    row("none does (less than 5 % of its own readings lie so far off)",
        [&](const Likeness& l) { return l.chance < unlikely; });
    row("none does by far (less than one in a million)", [](const Likeness& l) { return l.chance < 1e-6; });
}

void print_not_modelled(const Options& o, int jobs) {
    constexpr std::uint64_t stream = 4;
    const auto all = judge_jobs(o, jobs, stream, Blunders::none, Truths::not_modelled);
    print_table("Not modelled: a leak between two points, or an end on the wrong point", all);
    std::vector<Likeness> like(all.size());
    share_out(jobs, o.threads, [&](int k) {
        Random r = generator(o.seed + stream, k);
        JobRequest q = request_for(r, k);
        q.blunders = Blunders::none;
        q.errors = MeterErrors::shared;
        q.truth = truth_of(r, Truths::not_modelled);
        like[static_cast<std::size_t>(k)] = closest_modelled(random_job(r, q).readings);
    });
    print_admitted(all, like);
}

void print_beside(const Options& o, int third) {
    print_table("Every truth in the drawing (healthy or one of its faults), no blunder",
                judge_jobs(o, third, 1, Blunders::none, Truths::in_the_drawing));
    print_table("The same with meter errors normal instead of evenly likely",
                judge_jobs(o, third, 1, Blunders::none, Truths::in_the_drawing, MeterErrors::shared_normal));
    print_table("The same with the per cent of an accuracy one gain throughout",
                judge_jobs(o, third, 1, Blunders::none, Truths::in_the_drawing, MeterErrors::one_gain));
    print_table("The same with every reading's error by itself",
                judge_jobs(o, third, 1, Blunders::none, Truths::in_the_drawing, MeterErrors::even));
    print_table("Readings written down for another state, by the model's share of blunders",
                judge_jobs(o, third, 2, Blunders::wrong_state, Truths::in_the_drawing));
    print_table("A clamp not set to zero in one job of five",
                judge_jobs(o, third, 3, Blunders::zero, Truths::in_the_drawing));
    print_not_modelled(o, third / 2);
}

/// How often the first suspect is the truth where the exact posterior gives the truth 95 %.
void compare_with_brute(const Options& o) {
    std::vector<BesideBrute> all(static_cast<std::size_t>(o.brute));
    share_out(o.brute, o.threads, [&](int k) {
        Random r = generator(o.seed + 12, k);
        const RandomJob job = small_job(r, families[static_cast<std::size_t>(k) % families.size()]);
        all[static_cast<std::size_t>(k)] = beside_brute(job, r);
    });
    const auto doubtful = std::erase_if(all, [](const BesideBrute& b) { return b.error > 0.01; });
    std::printf(
        "\nBeside a brute-force posterior of the nonlinear network: 8 to 15 parts, six readings; %zu more "
        "jobs that the draws leave in doubt\n%-32s %6s %16s %16s\n",
        doubtful, "truth by brute force", "jobs", "first", "brute's first");
    for (const auto& [name, low, high] :
         {std::tuple{"95 % and more", 0.95, 2.0}, {"50 % to 95 %", 0.5, 0.95}, {"less", -1.0, 0.5}}) {
        int jobs = 0, first = 0, brute = 0;
        for (const BesideBrute& b : all)
            if (b.of_truth >= low && b.of_truth < high) ++jobs, first += b.first, brute += b.brute_first;
        std::printf("%-32s %6d  ", name, jobs);
        print_share(share_of(first, jobs));
        std::printf("  ");
        print_share(share_of(brute, jobs));
        std::printf("\n");
    }
    std::printf("largest difference of a probability in a job\n");
    for (const double within : {0.01, 0.02, 0.03, 0.05, 0.1}) {
        int inside = 0;
        for (const BesideBrute& b : all) inside += b.largest < within + 3 * b.error;
        std::printf("  within %.2f and three errors of the draws", within);
        print_share(share_of(inside, static_cast<int>(all.size())));
        std::printf("\n");
    }
}

std::optional<Options> read_options(int argc, char** argv) {
    Options o;
    for (int k = 1; k + 1 < argc; k += 2) {
        const std::string_view key = argv[k];
        const char* value = argv[k + 1];
        if (key == "--jobs")
            o.jobs = std::atoi(value);
        else if (key == "--probing")
            o.probing = std::atoi(value);
        else if (key == "--brute")
            o.brute = std::atoi(value);
        else if (key == "--seed")
            o.seed = std::strtoull(value, nullptr, 10);
        else if (key == "--threads")
            o.threads = std::atoi(value);
        else if (key == "--beside")
            o.beside = std::atoi(value);
        else if (key == "--dump")
            o.dump = value;
        else
            return std::nullopt;
    }
    if (argc % 2 == 0 || o.threads < 1) return std::nullopt;
    return o;
}

} // namespace

int main(int argc, char** argv) {
    const auto options = read_options(argc, argv);
    if (!options) {
        std::fprintf(stderr,
                     "usage: bench_calibration [--jobs N] [--probing N] [--brute N] [--seed S] [--threads T] "
                     "[--dump FILE] [--beside N]\n");
        return 2;
    }
    const Options& o = *options;
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    std::printf("%s\nseed %llu, %d jobs\n", bench::conditions().c_str(),
                static_cast<unsigned long long>(o.seed), o.jobs);
    const auto all = judge_jobs(o, o.jobs, 0, Blunders::as_modelled, Truths::as_believed);
    print_table("As modelled: blunders by the model's share, swapped leads and values out of the blue", all);
    print_bins(all);
    if (!o.dump.empty()) dump(o.dump, all);

    const int third = o.beside < 0 ? o.jobs / 3 : o.beside; // tables beside the main one
    if (third > 0) print_beside(o, third);
    if (o.brute > 0) compare_with_brute(o);
    if (o.probing > 0) compare_probing(o);
}
