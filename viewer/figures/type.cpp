#include "viewer/figures/type.h"

#include <algorithm>
#include <array>

#include "solver/units/code_points.h"

namespace lostvolts {
namespace {

// Advance widths in thousandths of the size, of DejaVu Sans 2.37 and its bold, read from their hmtx tables:
// U+0020 to U+007E, then U+00A0 to U+017F.
// clang-format off
constexpr std::array<short, 95> plain_ascii = {318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838,
    318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000,
    684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732,
    684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278,
    579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838};
constexpr std::array<short, 224> plain_latin = {318, 401, 636, 636, 636, 636, 337, 500, 500, 1000, 471, 612,
    838, 361, 1000, 500, 500, 838, 401, 401, 500, 636, 636, 318, 500, 401, 471, 612, 969, 969, 969, 531, 684,
    684, 684, 684, 684, 684, 974, 698, 632, 632, 632, 632, 295, 295, 295, 295, 775, 748, 787, 787, 787, 787,
    787, 838, 787, 732, 732, 732, 732, 611, 605, 630, 613, 613, 613, 613, 613, 613, 982, 550, 615, 615, 615,
    615, 278, 278, 278, 278, 612, 634, 612, 612, 612, 612, 612, 838, 612, 634, 634, 634, 634, 592, 635, 592,
    684, 613, 684, 613, 684, 613, 698, 550, 698, 550, 698, 550, 698, 550, 770, 635, 775, 635, 632, 615, 632,
    615, 632, 615, 632, 615, 632, 615, 775, 635, 775, 635, 775, 635, 775, 635, 752, 634, 916, 695, 295, 278,
    295, 278, 295, 278, 295, 278, 295, 278, 590, 556, 295, 278, 656, 579, 579, 557, 278, 557, 278, 557, 375,
    557, 342, 562, 284, 748, 634, 748, 634, 748, 634, 813, 748, 634, 787, 612, 787, 612, 787, 612, 1070, 1023,
    695, 411, 695, 411, 695, 411, 635, 521, 635, 521, 635, 521, 635, 521, 611, 392, 611, 392, 611, 392, 732,
    634, 732, 634, 732, 634, 732, 634, 732, 634, 732, 634, 989, 818, 611, 592, 611, 685, 525, 685, 525, 685,
    525, 352};
constexpr std::array<short, 95> bold_ascii = {348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838,
    380, 415, 380, 365, 696, 696, 696, 696, 696, 696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 580, 1000,
    774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995, 837, 850, 733, 850, 770, 720, 682, 812,
    774, 1103, 771, 724, 725, 457, 365, 457, 838, 500, 500, 675, 716, 593, 716, 678, 435, 716, 712, 343, 343,
    665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712, 365, 712, 838};
constexpr std::array<short, 224> bold_latin = {348, 456, 696, 696, 636, 696, 365, 500, 500, 1000, 564, 646,
    838, 415, 1000, 500, 500, 838, 438, 438, 500, 736, 636, 380, 500, 438, 564, 646, 1035, 1035, 1035, 580,
    774, 774, 774, 774, 774, 774, 1085, 734, 683, 683, 683, 683, 372, 372, 372, 372, 838, 837, 850, 850, 850,
    850, 850, 838, 850, 812, 812, 812, 812, 724, 738, 719, 675, 675, 675, 675, 675, 675, 1048, 593, 678, 678,
    678, 678, 343, 343, 343, 343, 687, 712, 687, 687, 687, 687, 687, 838, 687, 712, 712, 712, 712, 652, 716,
    652, 774, 675, 774, 675, 774, 675, 734, 593, 734, 593, 734, 593, 734, 593, 830, 716, 838, 716, 683, 678,
    683, 678, 683, 678, 683, 678, 683, 678, 821, 716, 821, 716, 821, 716, 821, 716, 837, 712, 974, 790, 372,
    343, 372, 343, 372, 343, 372, 343, 372, 343, 744, 686, 372, 343, 775, 665, 665, 637, 343, 637, 343, 637,
    479, 637, 557, 642, 371, 837, 712, 837, 712, 837, 712, 983, 837, 712, 850, 687, 850, 687, 850, 687, 1167,
    1094, 770, 493, 770, 493, 770, 493, 720, 595, 720, 595, 720, 595, 720, 595, 682, 478, 682, 478, 682, 478,
    812, 712, 812, 712, 812, 712, 812, 712, 812, 712, 812, 712, 1103, 924, 724, 652, 724, 725, 582, 725, 582,
    725, 582, 435};
// clang-format on

struct Other {
    char32_t from, to;
    short plain, bold;
};
// What else this house writes, and the means of some scripts. What is in none is taken as wide as the widest.
constexpr std::array<Other, 15> others = {{{0x2013, 0x2013, 500, 500},   // –
                                           {0x2014, 0x2014, 1000, 1000}, // —
                                           {0x2018, 0x2019, 318, 380},   // ‘ ’
                                           {0x201c, 0x201d, 518, 657},   // “ ”
                                           {0x2022, 0x2022, 590, 639},   // •
                                           {0x2026, 0x2026, 1000, 1000}, // …
                                           {0x2190, 0x22ff, 838, 838},   // arrows and signs
                                           {0x3a9, 0x3a9, 764, 850},     // Ω
                                           {0x370, 0x3ff, 631, 700},     // Greek
                                           {0x430, 0x45f, 616, 690},     // small Cyrillic
                                           {0x400, 0x4ff, 692, 776},     // Cyrillic
                                           {0x530, 0x58f, 661, 662},     // Armenian
                                           {0x590, 0x5ff, 600, 650},     // Hebrew
                                           {0x600, 0x6ff, 631, 714},     // Arabic
                                           {0x300, 0x36f, 0, 0}}};       // marks above the letter before
constexpr short widest = 1000;

short thousandths(char32_t c, bool bold) {
    if (c >= 0x20 && c <= 0x7e) return (bold ? bold_ascii : plain_ascii)[c - 0x20];
    if (c >= 0xa0 && c < 0x180) return (bold ? bold_latin : plain_latin)[c - 0xa0];
    for (const Other& o : others)
        if (c >= o.from && c <= o.to) return bold ? o.bold : o.plain;
    return c < 0x20 ? short{0} : widest;
}

std::u32string_view without_end_blanks(std::u32string_view text) {
    while (!text.empty() && text.back() == U' ') text.remove_suffix(1);
    return text;
}

/// How many characters of the text's beginning are at most so wide.
std::size_t count_within(std::u32string_view text, double width, double size, bool bold) {
    double sum = 0;
    for (std::size_t k = 0; k < text.size(); ++k)
        if ((sum += thousandths(text[k], bold) * size / 1000) > width) return k;
    return text.size();
}

std::string cut(std::u32string_view text, double width, double size, bool bold) {
    const std::size_t fits = count_within(text, width, size, bold);
    if (fits == text.size()) return utf8(text);
    const std::size_t left = count_within(text, width - text_width("…", size, bold), size, bold);
    return utf8(without_end_blanks(text.substr(0, left))) + "…";
}

} // namespace

double text_width(std::string_view text, double size, bool bold) {
    double sum = 0;
    for (const char32_t c : code_points(text)) sum += thousandths(c, bold);
    return sum * size / 1000;
}

double letter_width(char32_t letter, double size, bool bold) {
    return thousandths(letter, bold) * size / 1000;
}

std::string fitted(std::string_view text, double width, double size, bool bold) {
    return cut(code_points(text), width, size, bold);
}

std::vector<std::string> in_lines(std::string_view text, double width, double size, int lines, bool bold) {
    const std::u32string all = code_points(text);
    std::u32string_view rest = all;
    std::vector<std::string> result;
    while (!rest.empty() && static_cast<int>(result.size()) < lines) {
        const std::size_t fits = count_within(rest, width, size, bold);
        if (fits == rest.size() || static_cast<int>(result.size()) + 1 == lines) {
            result.push_back(cut(rest, width, size, bold));
            break;
        }
        std::size_t end = rest.rfind(U' ', fits);
        if (end == std::u32string_view::npos || end == 0) end = std::max<std::size_t>(fits, 1);
        result.push_back(utf8(without_end_blanks(rest.substr(0, end))));
        rest.remove_prefix(end);
        while (!rest.empty() && rest.front() == U' ') rest.remove_prefix(1);
    }
    return result;
}

bool hold_whole_words(const std::vector<std::string>& lines, std::string_view text) {
    std::size_t letters = 0;
    for (const std::string& line : lines) {
        if (line.ends_with("…")) return false;
        letters += line.size() + 1;
    }
    return letters == text.size() + 1; // a broken word loses no blank
}

std::vector<std::string> in_even_lines(std::string_view text, double width, double size, int lines,
                                       bool bold) {
    std::vector<std::string> best = in_lines(text, width, size, lines, bold);
    if (best.size() < 2 || best.back().ends_with("…")) return best;
    const bool whole = hold_whole_words(best, text);
    double narrower = width;
    while ((narrower -= size / 2) > width / 3) {
        auto tried = in_lines(text, narrower, size, static_cast<int>(best.size()), bold);
        if (tried.back().ends_with("…") || (whole && !hold_whole_words(tried, text))) break;
        best = std::move(tried);
    }
    return best;
}

Box box_of(const Words& w) {
    constexpr double rise = 0.76, fall = 0.22; // of DejaVu Sans, with a letter's accent cut short
    const double width = text_width(w.text, w.size, w.bold);
    const double before = w.align == Align::start ? 0 : w.align == Align::middle ? width / 2 : width;
    if (w.upright)
        return {{w.at.x - rise * w.size, w.at.y - (width - before)},
                {w.at.x + fall * w.size, w.at.y + before}};
    return {{w.at.x - before, w.at.y - rise * w.size}, {w.at.x - before + width, w.at.y + fall * w.size}};
}

bool overlap(const Box& a, const Box& b, double slack) {
    return a.low.x < b.high.x - slack && b.low.x < a.high.x - slack && a.low.y < b.high.y - slack &&
           b.low.y < a.high.y - slack;
}

} // namespace lostvolts
