#include "viewer/paper/slices.h"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/figures/shapes.h"

namespace lostvolts {
namespace {

/// How words of a kind are set, points.
struct Setting {
    double size, leading, before;
    bool bold = false;
    Ink ink = Ink::text;
};
constexpr Setting title_setting{17, 21, 0, true}, heading_setting{12, 16, 15, true}, plain{9.6, 13.4, 5},
    aside{8.4, 11.6, 4, false, Ink::quiet}, verdict{11, 15.4, 9}, fine{7.6, 10.6, 3, false, Ink::quiet};
constexpr double written_indent = 9, bullet_indent = 12, box_margin = 9, most_enlarged = 1.2;

class Slicer {
  public:
    Slicer(const Ruler& ruler, double width, double most_height)
        : ruler_(ruler), width_(width), most_height_(most_height) {}

    SlicedDocument document(const Document& d) {
        add_lines(ruler_.lines(d.title, width_, title_setting.size, true), title_setting, 0);
        for (PageSlice& slice : out_.slices) slice.with_next = true;
        for (const DocumentBlock& block : d.blocks) std::visit(*this, block);
        if (!out_.slices.empty()) out_.slices.back().with_next = false;
        return std::move(out_);
    }

    void operator()(const SectionHeading& h) {
        const std::size_t first = out_.slices.size();
        add_lines(ruler_.lines(h.text, width_, heading_setting.size, true), heading_setting, 0);
        for (std::size_t k = first; k < out_.slices.size(); ++k) out_.slices[k].with_next = true;
        PageSlice& last = out_.slices.back();
        last.height += 4;
        last.shapes.push_back(Stroke{{{0, last.height - 2.5}, {width_, last.height - 2.5}}, Ink::quiet, 0.7});
    }

    void operator()(const Prose& p) {
        switch (p.style) {
        case ProseStyle::plain:
            return add_lines(ruler_.lines(p.text, width_, plain.size), plain, 0);
        case ProseStyle::aside:
            return add_lines(ruler_.lines(p.text, width_, aside.size), aside, 0);
        case ProseStyle::written:
            return add_written(p.text);
        case ProseStyle::verdict:
            return add_verdict(p.text);
        }
    }

    void operator()(const Bullets& b) {
        for (const std::string& item : b.items) {
            const std::size_t first = out_.slices.size();
            add_lines(ruler_.lines(item, width_ - bullet_indent, plain.size), plain, bullet_indent);
            out_.slices[first].before = 2.5;
            out_.slices[first].shapes.push_back(words({2, base_of(plain)}, "•", plain.size));
        }
    }

    void operator()(const DocumentTable& t) { slice_table(t, ruler_, width_, out_); }

    /// Without a caption: its own title stands in it.
    void operator()(const Figure& f) {
        const double scale = std::min({width_ / f.width, most_height_ / f.height, most_enlarged});
        if (!(f.width > 0 && f.height > 0 && scale > 0)) return (*this)(in_place_of(f, "it has no size"));
        Figure sized = f;
        scale_by(sized, scale);
        out_.slices.push_back({9, sized.height, false, std::move(sized.shapes)});
    }

    void operator()(const Imprint& i) {
        const std::size_t first = out_.slices.size();
        add_lines(ruler_.lines(i.text, width_, fine.size), fine, 0);
        for (const auto& [name, code] : i.codes)
            add_lines(ruler_.lines(fmt::format("{} {}", name, code), width_, fine.size), fine, 0);
        for (std::size_t k = first; k + 1 < out_.slices.size(); ++k) out_.slices[k].with_next = true;
        PageSlice& top = out_.slices[first];
        top.before = 20;
        top.shapes.push_back(Stroke{{{0, -6}, {width_, -6}}, Ink::quiet, 0.7});
    }

  private:
    static double base_of(const Setting& s) { return s.leading - 0.28 * s.size - 0.5; }

    /// A slice a line. The first two stay together, and the last two.
    void add_lines(const std::vector<std::string>& lines, const Setting& s, double indent) {
        for (std::size_t k = 0; k < lines.size(); ++k) {
            PageSlice slice{k == 0 ? s.before : 0, s.leading,
                            k + 1 < lines.size() && (k == 0 || k + 2 == lines.size())};
            if (!lines[k].empty())
                slice.shapes.push_back(
                    words({indent, base_of(s)}, lines[k], s.size, s.ink, Align::start, s.bold));
            out_.slices.push_back(std::move(slice));
        }
    }
    void add_written(const std::string& text) {
        const std::size_t first = out_.slices.size();
        add_lines(ruler_.lines(text, width_ - written_indent, plain.size, false, true), plain,
                  written_indent);
        for (std::size_t k = first; k < out_.slices.size(); ++k)
            out_.slices[k].shapes.push_back(
                Stroke{{{1.2, 0}, {1.2, out_.slices[k].height}}, Ink::quiet, 2.4});
    }
    /// Its box grows line by line, so that even one longer than a page has its sides.
    void add_verdict(const std::string& text) {
        const std::size_t first = out_.slices.size();
        add_lines(ruler_.lines(text, width_ - 2 * box_margin, verdict.size), verdict, box_margin);
        PageSlice top{verdict.before, box_margin - 2, true}, bottom{0, box_margin, false};
        top.shapes.push_back(Stroke{{{0, 0}, {width_, 0}}, Ink::text, 1.4});
        bottom.shapes.push_back(Stroke{{{0, bottom.height}, {width_, bottom.height}}, Ink::text, 1.4});
        for (std::size_t k = first; k < out_.slices.size(); ++k)
            out_.slices[k].before = 0, out_.slices[k].with_next = true;
        out_.slices.insert(out_.slices.begin() + static_cast<std::ptrdiff_t>(first), std::move(top));
        out_.slices.push_back(std::move(bottom));
        for (std::size_t k = first; k < out_.slices.size(); ++k)
            for (const double x : {0.0, width_})
                out_.slices[k].shapes.push_back(
                    Stroke{{{x, -0.7}, {x, out_.slices[k].height + 0.7}}, Ink::text, 1.4});
    }

    const Ruler& ruler_;
    double width_, most_height_;
    SlicedDocument out_;
};

} // namespace

SlicedDocument sliced(const Document& d, const Ruler& ruler, double width, double most_height) {
    return Slicer(ruler, width, most_height).document(d);
}

} // namespace lostvolts
