#include "viewer/paper/pages.h"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/figures/shapes.h"
#include "viewer/paper/paper.h"
#include "viewer/paper/slices.h"

namespace lostvolts {
namespace {

constexpr double foot_size = 7.6;

class Press {
  public:
    Press(const Document& document, const PageForm& form)
        : title_(document.title), form_(form),
          sliced_(sliced(document, ruler_, form.width - 2 * form.side, room() - heading_room)) {}

    std::vector<Figure> pages() {
        begin_page();
        const std::vector<PageSlice>& all = sliced_.slices;
        for (std::size_t from = 0; from < all.size();) {
            std::size_t to = from;
            while (to + 1 < all.size() && all[to].with_next) ++to;
            double height = 0;
            for (std::size_t k = from; k <= to; ++k)
                height += all[k].height + (k > from || !at_top() ? all[k].before : 0);
            if (!at_top() && y_ + height > bottom()) begin_page(all[from].table);
            for (; from <= to; ++from) {
                if (!at_top() && y_ + all[from].before + all[from].height > bottom())
                    begin_page(all[from].table); // together they are longer than a page
                put(all[from]);
            }
        }
        number();
        return std::move(pages_);
    }

  private:
    static constexpr double heading_room = 40; // what a picture of a page's height leaves for its heading

    double room() const { return form_.height - form_.top - form_.bottom; }
    double bottom() const { return form_.height - form_.bottom; }
    bool at_top() const { return fresh_; }

    void begin_page(int table = -1) {
        Figure page;
        page.width = form_.width;
        page.height = form_.height;
        page.title = title_;
        pages_.push_back(std::move(page));
        y_ = form_.top;
        fresh_ = true;
        if (table < 0) return;
        for (const PageSlice& head : sliced_.table_heads[static_cast<std::size_t>(table)]) put(head);
        fresh_ = true; // a row under its repeated head has no room above it
    }
    void put(const PageSlice& slice) {
        if (!fresh_) y_ += slice.before;
        Figure moved;
        moved.shapes = slice.shapes;
        move_by(moved, {form_.side, y_});
        Figure& page = pages_.back();
        page.shapes.insert(page.shapes.end(), std::make_move_iterator(moved.shapes.begin()),
                           std::make_move_iterator(moved.shapes.end()));
        y_ += slice.height;
        fresh_ = false;
    }
    void number() {
        const double y = form_.height - form_.bottom + 26, width = form_.width - 2 * form_.side;
        for (std::size_t k = 0; k < pages_.size(); ++k) {
            const std::string place = fmt::format("page {} of {}", k + 1, pages_.size());
            const double left = width - ruler_.width(place, foot_size) - 20;
            std::string title = ruler_.lines(title_, left, foot_size).front();
            pages_[k].shapes.push_back(words({form_.side, y}, std::move(title), foot_size, Ink::quiet));
            pages_[k].shapes.push_back(
                words({form_.width - form_.side, y}, place, foot_size, Ink::quiet, Align::end));
        }
    }

    Ruler ruler_;
    const std::string& title_;
    PageForm form_;
    SlicedDocument sliced_;
    std::vector<Figure> pages_;
    double y_ = 0;
    bool fresh_ = true;
};

} // namespace

std::vector<Figure> pages_of(const Document& document, const PageForm& form) {
    return Press(document, form).pages();
}

Result<std::string> document_pdf(const Document& document) {
    return painted(pages_of(document), PaperKind::pdf);
}

} // namespace lostvolts
