// The window itself: events in, one frame after another out, the place that is shown, and what it remembers.
// window.h opens it for the program; tests feed it events of their own.
#pragma once

#include <chrono>
#include <memory>
#include <string>

#include <SFML/Graphics/Image.hpp>
#include <SFML/Graphics/RenderWindow.hpp>
#include <SFML/System/Clock.hpp>

#include "viewer/window/bench.h"
#include "viewer/window/harness.h"
#include "viewer/window/lesson.h"
#include "viewer/window/window.h"

namespace lostvolts {

class App {
  public:
    /// Opens the file and the window. Problems: the file's; the end's code tells which kind.
    static std::unique_ptr<App> open(const WindowOptions& options, WindowEnd& end);
    ~App();

    /// Takes the window's events, and draws a frame when there is a reason to. False once it is closed.
    bool frame();
    /// An event as if it had come from the window: the tests' way in.
    void take(const sf::Event& event);
    /// Frames until nothing moves any more: workers idle, panels settled.
    void settle();

    sf::Image shot();
    Session& session() { return *session_; }
    const Bench& bench() const { return bench_; }
    const HarnessPlace& harness() const { return harness_; }
    const Lesson& lesson() const { return lesson_; }
    const Settings& settings() const { return settings_; }
    const std::string& news() const { return desk_.news; }
    const Desk& desk() const { return desk_; }
    double last_frame_ms() const { return frame_ms_; }
    const ImGuiIO& io() const { return ImGui::GetIO(); }

  private:
    App(std::unique_ptr<Session> session, std::unique_ptr<Type> type, const WindowOptions& options,
        const Settings& settings);
    void handle(const sf::Event& event);
    void act(Act act);
    bool thinking() const;
    bool about_to_type() const;
    /// Of the work that has gone on longest.
    std::chrono::milliseconds thinking_for() const;
    void stop_or_go_on();
    void build();
    float top_bar(const Pane& room); ///< gives the height that it took
    void help(const Pane& room);
    void unsaved_question();
    void ask_to_leave();
    void remember();
    void resized(unsigned width, unsigned height);

    WindowOptions options_;
    Settings settings_;
    std::unique_ptr<Session> session_;
    std::unique_ptr<Type> type_;
    Cursors cursors_;
    sf::RenderWindow window_;
    std::unique_ptr<Host> host_;
    Desk desk_;
    Bench bench_;
    Lesson lesson_;
    HarnessPlace harness_;
    std::vector<sf::Event> held_; // typed while no blank had the keyboard yet
    sf::Clock since_frame_;
    int restless_ = 3; ///< frames still to draw though nothing happens
    bool helping_ = false, asking_to_leave_ = false, left_ = false;
    std::string elsewhere_; ///< path for readings that can't be saved
    double frame_ms_ = 0;
};

} // namespace lostvolts
