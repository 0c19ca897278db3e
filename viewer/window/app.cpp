#include "viewer/window/app.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <utility>

#include <SFML/Graphics/Texture.hpp>
#include <SFML/System/Err.hpp>
#include <SFML/System/Sleep.hpp>
#include <fmt/format.h>

namespace lostvolts {
namespace {

constexpr int places = 2;      // what is not finished is not shown
constexpr float breath = 0.4F; // seconds between frames while nothing happens: the text cursor blinks

sf::String title_of(const Session& session) {
    const Circuit& c = session.circuit();
    const std::string title = c.name.empty() ? session.circuit_file().filename().string() : c.name;
    return sf::String::fromUtf8(title.begin(), title.end());
}

/// The nearest place where all of the window is on the screen: without a window manager nobody else sees to
/// that, and the screen that a place was remembered of may be gone.
sf::Vector2i seen_whole(sf::Vector2i place, sf::Vector2u size) {
    const sf::VideoMode desktop = sf::VideoMode::getDesktopMode();
    const auto within = [](int at, unsigned extent, unsigned there) {
        return std::clamp(at, 0, std::max(static_cast<int>(there) - static_cast<int>(extent), 0));
    };
    return {within(place.x, size.x, desktop.width), within(place.y, size.y, desktop.height)};
}

sf::VideoMode mode_for(const Settings& s) {
    const sf::VideoMode desktop = sf::VideoMode::getDesktopMode();
    const auto least = [](int wanted, unsigned there, int floor) {
        return static_cast<unsigned>(std::max(std::min(wanted, static_cast<int>(there)), floor));
    };
    return {least(s.width, desktop.width, least_width), least(s.height, desktop.height, least_height)};
}

} // namespace

std::unique_ptr<App> App::open(const WindowOptions& options, WindowEnd& end) {
    auto session = Session::open(options.file);
    if (!session) {
        end.code = 2;
        for (const Problem& p : session.problems()) end.trouble += describe(p) + '\n';
        return nullptr;
    }
    auto type = std::make_unique<Type>();
    if (const auto loaded = load_type(*type); !loaded) {
        end.code = 3;
        end.trouble = describe(loaded.problems().front()) + '\n';
        return nullptr;
    }
    sf::err().rdbuf(nullptr); // it tells of missing extensions that nobody here can mend
    Settings settings = read_settings(options.settings);
    if (options.place) settings.place = *options.place;
    if (options.scale) settings.scale = std::clamp(*options.scale, least_scale, most_scale);
    if (options.dark) settings.dark = *options.dark;
    if (options.width) settings.width = *options.width;
    if (options.height) settings.height = *options.height;
    std::unique_ptr<App> app(new App(*std::move(session), std::move(type), options, settings));
    if (!app->window_.isOpen()) {
        end.code = 3;
        end.trouble = "the window can't be opened: there is no OpenGL on this display\n";
        return nullptr;
    }
    return app;
}

App::App(std::unique_ptr<Session> session, std::unique_ptr<Type> type, const WindowOptions& options,
         const Settings& settings)
    : options_(options), settings_(settings), session_(std::move(session)), type_(std::move(type)),
      window_(mode_for(settings_), title_of(*session_)),
      host_(std::make_unique<Host>(window_, *type_, cursors_)), desk_{*session_, *host_, *type_, settings_} {
    const sf::Vector2i put = window_.getPosition(), remembered = settings_.x >= 0 && settings_.y >= 0
                                                                     ? sf::Vector2i(settings_.x, settings_.y)
                                                                     : put;
    if (const sf::Vector2i place = seen_whole(remembered, window_.getSize()); place != put)
        window_.setPosition(place);
    window_.setKeyRepeatEnabled(true);
    settings_.place = std::clamp(settings_.place, 0, places - 1);
    if (const int state = find_state(session_->circuit(), options_.state); state != none)
        bench_.start_in(state);
    if (const int k = find_condition(session_->circuit(), options_.condition); k != none) {
        lesson_.show_condition(session_->circuit(), k);
        settings_.place = options_.place.value_or(1);
    }
}

App::~App() { remember(); }

void App::remember() {
    if (options_.settings.empty()) return;
    write_settings(options_.settings, settings_);
}

bool App::about_to_type() const {
    return settings_.place == 0 ? bench_.about_to_type() : settings_.place == 1 && lesson_.about_to_type();
}

/// A blank that is about to take the keyboard gets what is typed meanwhile, in its order.
void App::take(const sf::Event& event) {
    restless_ = std::max(restless_, 3);
    const auto is_of_key = [&](const sf::Event& e) {
        return e.type == sf::Event::KeyPressed && e.key.code == event.key.code;
    };
    // A key that is let go is held back only with its own press: held down for longer, it would repeat.
    const bool let_go = event.type == sf::Event::KeyReleased;
    const bool typed = event.type == sf::Event::TextEntered || event.type == sf::Event::KeyPressed ||
                       (let_go && std::any_of(held_.begin(), held_.end(), is_of_key));
    if (typed && (!held_.empty() || about_to_type()))
        held_.push_back(event);
    else
        handle(event);
}

void App::handle(const sf::Event& event) {
    host_->take(event);
    switch (event.type) {
    case sf::Event::Closed:
        ask_to_leave();
        break;
    case sf::Event::Resized:
        resized(event.size.width, event.size.height);
        break;
    case sf::Event::KeyPressed:
        if (event.key.code == sf::Keyboard::Escape && !std::exchange(helping_, false)) {
            lesson_.back();
            desk_.alone = false;
        }
        if (const auto wanted = act_of(event.key, settings_.place, host_->wants_keys())) act(*wanted);
        break;
    default:
        break;
    }
}

void App::resized(unsigned width, unsigned height) {
    const auto w = std::max<unsigned>(width, least_width), h = std::max<unsigned>(height, least_height);
    if (w != width || h != height) window_.setSize({w, h});
    window_.setView(sf::View({0, 0, static_cast<float>(w), static_cast<float>(h)}));
    settings_.width = static_cast<int>(w);
    settings_.height = static_cast<int>(h);
}

void App::act(Act act) {
    const auto scaled = [&](double to) {
        settings_.scale = std::clamp(std::round(to * 20) / 20, least_scale, most_scale);
    };
    switch (act) {
    case Act::help:
        helping_ = !helping_;
        break;
    case Act::present:
        desk_.presenting = !desk_.presenting;
        break;
    case Act::look:
        settings_.dark = !settings_.dark;
        break;
    case Act::larger:
        scaled(settings_.scale + 0.1);
        break;
    case Act::smaller:
        scaled(settings_.scale - 0.1);
        break;
    case Act::usual_size:
        scaled(1);
        break;
    case Act::closer:
        desk_.moves.closer = closer_by_key;
        break;
    case Act::farther:
        desk_.moves.closer = 1 / closer_by_key;
        break;
    case Act::whole:
        desk_.moves.whole = true;
        break;
    case Act::picture_left:
        desk_.moves.right = -1;
        break;
    case Act::picture_right:
        desk_.moves.right = 1;
        break;
    case Act::picture_up:
        desk_.moves.down = -1;
        break;
    case Act::picture_down:
        desk_.moves.down = 1;
        break;
    case Act::panel_down:
        desk_.moves.panel = 0.8F;
        break;
    case Act::panel_up:
        desk_.moves.panel = -0.8F;
        break;
    case Act::alone:
        desk_.alone = !desk_.alone;
        break;
    case Act::stop:
        stop_or_go_on();
        break;
    case Act::undo:
        if (!session_->undo()) desk_.news = "There is nothing to undo.";
        break;
    case Act::redo:
        if (!session_->redo()) desk_.news = "There is nothing to redo.";
        break;
    case Act::save:
        session_->save();
        break;
    case Act::leave:
        ask_to_leave();
        break;
    case Act::bench:
        settings_.place = 0;
        break;
    case Act::lesson:
        settings_.place = 1;
        break;
    case Act::harness:
        settings_.place = 2;
        break;
    default:
        if (settings_.place == 0) bench_.act(desk_, act);
        if (settings_.place == 1) lesson_.act(desk_, act);
        if (settings_.place == 2) harness_.act(desk_, act);
    }
}

void App::ask_to_leave() {
    session_->tick();
    if (session_->saved() || session_->save_trouble().empty())
        left_ = true; // a save under way is waited for
    else
        asking_to_leave_ = true;
}

bool App::thinking() const {
    return harness_.saving() || session_->thinking() || lesson_.thinking() || bench_.thinking() ||
           harness_.thinking();
}

std::chrono::milliseconds App::thinking_for() const {
    return std::max(
        {session_->thinking_for(), lesson_.thinking_for(), bench_.thinking_for(), harness_.thinking_for()});
}

void App::stop_or_go_on() {
    const bool going = session_->thinking() || lesson_.thinking() || bench_.thinking() || harness_.thinking();
    if (going) {
        session_->stop_thinking();
        lesson_.stop_thinking();
        bench_.stop_thinking();
        harness_.stop_thinking();
        desk_.news = "Stopped. F11 works it out.";
        return;
    }
    if (session_->stopped()) session_->think();
    if (bench_.stopped()) bench_.act(desk_, Act::stop);
    if (lesson_.stopped()) lesson_.act(desk_, Act::stop);
    if (harness_.stopped()) harness_.act(desk_, Act::stop);
}

bool App::frame() {
    if (!window_.isOpen()) return false;
    sf::Event event;
    if (about_to_type()) restless_ = std::max(restless_, 1);
    if (!held_.empty() && !about_to_type()) {
        restless_ = std::max(restless_, 2);
        const sf::Event kept = held_.front();
        held_.erase(held_.begin());
        handle(kept);
    }
    while (window_.pollEvent(event)) take(event);
    if (left_) {
        const auto place = window_.getPosition();
        settings_.x = std::max(place.x, 0);
        settings_.y = std::max(place.y, 0);
        session_->finish();
        window_.close();
        return false;
    }
    const bool fresh[] = {session_->tick(), lesson_.tick(), bench_.tick(), harness_.tick()};
    if (fresh[0] || fresh[1] || fresh[2] || fresh[3]) restless_ = std::max(restless_, 2);
    if (std::string news = session_->news(); !news.empty()) desk_.news = std::move(news);
    const float seconds = since_frame_.getElapsedTime().asSeconds();
    if (restless_ <= 0 && seconds < (thinking() ? 0.05F : breath)) {
        sf::sleep(sf::milliseconds(8));
        return true;
    }
    --restless_;
    since_frame_.restart();
    const auto begun = std::chrono::steady_clock::now();
    host_->set_look(settings_.scale * (desk_.presenting ? 1.35 : 1.0),
                    settings_.dark ? Light::dark : Light::light);
    host_->begin(seconds);
    build();
    window_.clear(screen_colour(Ink::paper, host_->light()));
    if (settings_.place == 0) bench_.draw(window_);
    if (settings_.place == 1) lesson_.draw(window_);
    if (settings_.place == 2) harness_.draw(window_);
    host_->draw();
    window_.display();
    frame_ms_ = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
    return true;
}

void App::build() {
    const auto size = window_.getSize();
    const float width = static_cast<float>(size.x), height = static_cast<float>(size.y);
    const float bar = top_bar({0, 0, width, 42 * desk_.unit()});
    Moves for_help;
    if (helping_) std::swap(for_help, desk_.moves);
    const Pane room{0, bar, width, height - bar};
    if (settings_.place == 0) bench_.show(desk_, room);
    if (settings_.place == 1) lesson_.show(desk_, room);
    if (settings_.place == 2) harness_.show(desk_, room);
    if (helping_) desk_.moves = for_help;
    if (helping_) help({0, 0, width, height});
    desk_.moves = {};
    if (asking_to_leave_) unsaved_question();
}

void App::settle() {
    // Under sanitizers on a loaded machine a hidden fault takes a minute to find.
    const auto latest = std::chrono::steady_clock::now() + std::chrono::minutes(5);
    for (int k = 0; std::chrono::steady_clock::now() < latest; ++k) {
        restless_ = std::max(restless_, 1);
        if (!frame()) return;
        if (held_.empty() && !thinking() && (session_->saved() || !session_->save_trouble().empty()) && k > 5)
            break;
    }
    for (int k = 0; k < 4; ++k) {
        restless_ = 1;
        if (!frame()) return;
    }
}

sf::Image App::shot() {
    sf::Texture texture;
    const auto size = window_.getSize();
    texture.create(size.x, size.y);
    texture.update(window_);
    return texture.copyToImage();
}

} // namespace lostvolts
