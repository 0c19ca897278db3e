#include "viewer/window/host.h"

#include <algorithm>
#include <cmath>

#include <SFML/System/Err.hpp>
#include <SFML/Window/Clipboard.hpp>
#include <backends/imgui_impl_opengl3.h>
#include <imgui.h>

namespace lostvolts {
namespace {

constexpr float plain_size = 15, large_size = 20, small_size = 12.5F; // pixels at a scale of 1

/// Latin, Greek and Cyrillic letters, dashes, arrows and the few signs that our words have.
constexpr ImWchar letters[] = {0x0020, 0x024F, 0x0370, 0x03FF, 0x0400, 0x045F, 0x2010, 0x2027, 0x20AC,
                               0x20AC, 0x2126, 0x2126, 0x2190, 0x2193, 0x2212, 0x2212, 0x221E, 0x221E,
                               0x2248, 0x2248, 0x2264, 0x2265, 0x25A0, 0x25CF, 0x2713, 0x2717, 0};
constexpr ImWchar heading_letters[] = {0x0020, 0x024F, 0x0370, 0x03FF, 0x2010, 0x2027,
                                       0x2190, 0x2193, 0x2212, 0x2212, 0};

std::string clipboard_text; // ImGui borrows it until the next call

const char* from_clipboard(void*) {
    const auto utf8 = sf::Clipboard::getString().toUtf8();
    clipboard_text.assign(utf8.begin(), utf8.end());
    return clipboard_text.c_str();
}
void to_clipboard(void*, const char* text) {
    const std::string utf8(text);
    sf::Clipboard::setString(sf::String::fromUtf8(utf8.begin(), utf8.end()));
}

void map_keys(ImGuiIO& io) {
    using K = sf::Keyboard;
    const std::pair<int, K::Key> all[] = {{ImGuiKey_Tab, K::Tab},
                                          {ImGuiKey_LeftArrow, K::Left},
                                          {ImGuiKey_RightArrow, K::Right},
                                          {ImGuiKey_UpArrow, K::Up},
                                          {ImGuiKey_DownArrow, K::Down},
                                          {ImGuiKey_Home, K::Home},
                                          {ImGuiKey_End, K::End},
                                          {ImGuiKey_Insert, K::Insert},
                                          {ImGuiKey_Delete, K::Delete},
                                          {ImGuiKey_Backspace, K::Backspace},
                                          {ImGuiKey_Space, K::Space},
                                          {ImGuiKey_Enter, K::Enter},
                                          {ImGuiKey_Escape, K::Escape},
                                          {ImGuiKey_A, K::A},
                                          {ImGuiKey_C, K::C},
                                          {ImGuiKey_V, K::V},
                                          {ImGuiKey_X, K::X},
                                          {ImGuiKey_Y, K::Y},
                                          {ImGuiKey_Z, K::Z}};
    for (const auto& [ours, theirs] : all) io.KeyMap[ours] = theirs;
}

ImVec4 ink(Ink which, Light light, float opacity = 1) {
    const Colour c = colour_of(which, light);
    return {static_cast<float>(c.red), static_cast<float>(c.green), static_cast<float>(c.blue), opacity};
}

} // namespace

Host::Host(sf::RenderWindow& window, const Type& type, Cursors& cursors)
    : window_(window), type_(type), cursors_(cursors) {
    IMGUI_CHECKVERSION();
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr; // we remember our own place
    io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
    io.BackendFlags |= ImGuiBackendFlags_HasMouseCursors;
    io.BackendPlatformName = "lostvolts";
    io.GetClipboardTextFn = from_clipboard;
    io.SetClipboardTextFn = to_clipboard;
    map_keys(io);
    window_.setActive(true);
    ImGui_ImplOpenGL3_Init("#version 120");
    Cursors& c = cursors_;
    c.loaded = c.arrow.loadFromSystem(sf::Cursor::Arrow) && c.text.loadFromSystem(sf::Cursor::Text) &&
               c.hand.loadFromSystem(sf::Cursor::Hand) &&
               c.sideways.loadFromSystem(sf::Cursor::SizeHorizontal);
}

Host::~Host() {
    window_.setActive(true);
    ImGui_ImplOpenGL3_Shutdown();
    ImGui::DestroyContext();
}

void Host::set_look(double scale, Light light) {
    const bool resized = std::abs(scale - scale_) > 1e-6;
    if (!resized && light == light_ && plain_) return;
    scale_ = scale;
    light_ = light;
    if (resized) load_letters();
    set_style();
}

void Host::load_letters() {
    ImGuiIO& io = ImGui::GetIO();
    io.Fonts->Clear();
    ImFontConfig config;
    config.OversampleH = 2;
    config.OversampleV = 1;
    const auto load = [&](const std::string& file, float size, const ImWchar* range) {
        return io.Fonts->AddFontFromFileTTF(file.c_str(), std::round(size * static_cast<float>(scale_)),
                                            &config, range);
    };
    plain_ = load(type_.regular_file, plain_size, letters);
    bold_ = load(type_.bold_file, plain_size, letters);
    large_ = load(type_.bold_file, large_size, heading_letters);
    small_ = load(type_.regular_file, small_size, letters);
    window_.setActive(true);
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
}

void Host::set_style() {
    ImGuiStyle style;
    style.WindowPadding = {14, 12};
    style.FramePadding = {8, 5};
    style.ItemSpacing = {8, 7};
    style.ItemInnerSpacing = {6, 4};
    style.CellPadding = {6, 3};
    style.ScrollbarSize = 11;
    style.GrabMinSize = 16;
    style.WindowRounding = style.ChildRounding = style.TabRounding = 0;
    style.FrameRounding = 3;
    style.GrabRounding = 8;
    style.PopupRounding = 3;
    style.ScrollbarRounding = 6;
    style.WindowBorderSize = 0;
    style.ChildBorderSize = 0;
    style.FrameBorderSize = 1;
    style.PopupBorderSize = 1;
    style.AntiAliasedLinesUseTex = true;
    style.ScaleAllSizes(static_cast<float>(scale_));
    style.FrameBorderSize = std::max(1.0F, std::floor(static_cast<float>(scale_)));

    const auto set = [&](ImGuiCol which, Ink i, float opacity = 1) {
        style.Colors[which] = ink(i, light_, opacity);
    };
    const ImVec4 clear{0, 0, 0, 0};
    set(ImGuiCol_Text, Ink::text);
    set(ImGuiCol_TextDisabled, Ink::quiet);
    set(ImGuiCol_WindowBg, Ink::paper);
    set(ImGuiCol_PopupBg, Ink::paper);
    style.Colors[ImGuiCol_ChildBg] = clear;
    set(ImGuiCol_Border, Ink::grid);
    style.Colors[ImGuiCol_BorderShadow] = clear;
    set(ImGuiCol_FrameBg, Ink::grid, 0.30F);
    set(ImGuiCol_FrameBgHovered, Ink::grid, 0.60F);
    set(ImGuiCol_FrameBgActive, Ink::grid, 0.60F);
    set(ImGuiCol_ScrollbarGrab, Ink::grid);
    set(ImGuiCol_ScrollbarGrabHovered, Ink::quiet, 0.6F);
    set(ImGuiCol_ScrollbarGrabActive, Ink::quiet);
    style.Colors[ImGuiCol_ScrollbarBg] = clear;
    set(ImGuiCol_CheckMark, Ink::predicted);
    set(ImGuiCol_SliderGrab, Ink::predicted);
    set(ImGuiCol_SliderGrabActive, Ink::healthy);
    set(ImGuiCol_Button, Ink::predicted, 0.12F);
    set(ImGuiCol_ButtonHovered, Ink::predicted, 0.24F);
    set(ImGuiCol_ButtonActive, Ink::predicted, 0.40F);
    set(ImGuiCol_Header, Ink::predicted, 0.14F);
    set(ImGuiCol_HeaderHovered, Ink::predicted, 0.22F);
    set(ImGuiCol_HeaderActive, Ink::predicted, 0.32F);
    set(ImGuiCol_Separator, Ink::grid);
    set(ImGuiCol_SeparatorHovered, Ink::quiet);
    set(ImGuiCol_SeparatorActive, Ink::quiet);
    set(ImGuiCol_TableBorderLight, Ink::grid);
    set(ImGuiCol_TableBorderStrong, Ink::grid);
    set(ImGuiCol_TableHeaderBg, Ink::grid, 0.35F);
    set(ImGuiCol_TableRowBgAlt, Ink::grid, 0.18F);
    set(ImGuiCol_TextSelectedBg, Ink::predicted, 0.30F);
    set(ImGuiCol_NavHighlight, Ink::predicted);
    set(ImGuiCol_ModalWindowDimBg, Ink::paper, 0.75F);
    set(ImGuiCol_PlotHistogram, Ink::predicted);
    ImGui::GetStyle() = style;
}

void Host::take(const sf::Event& event) {
    ImGuiIO& io = ImGui::GetIO();
    switch (event.type) {
    case sf::Event::MouseMoved:
        io.MousePos = {static_cast<float>(event.mouseMove.x), static_cast<float>(event.mouseMove.y)};
        break;
    case sf::Event::MouseButtonPressed:
    case sf::Event::MouseButtonReleased:
        io.MousePos = {static_cast<float>(event.mouseButton.x), static_cast<float>(event.mouseButton.y)};
        if (const int button = event.mouseButton.button; button < 3) {
            const bool down = event.type == sf::Event::MouseButtonPressed;
            pressed_[button] = pressed_[button] || down;
            io.MouseDown[button] = down;
        }
        break;
    case sf::Event::MouseWheelScrolled:
        (event.mouseWheelScroll.wheel == sf::Mouse::VerticalWheel ? io.MouseWheel : io.MouseWheelH) +=
            event.mouseWheelScroll.delta;
        break;
    case sf::Event::KeyPressed:
    case sf::Event::KeyReleased:
        if (event.type == sf::Event::KeyPressed && event.key.alt) break; // Alt moves pictures, nothing else
        if (const int key = event.key.code; key >= 0 && key < IM_ARRAYSIZE(io.KeysDown))
            io.KeysDown[key] = event.type == sf::Event::KeyPressed;
        if (event.type == sf::Event::KeyPressed && event.key.code >= 0) struck_.push_back(event.key.code);
        io.KeyCtrl = event.key.control;
        io.KeyShift = event.key.shift;
        io.KeySuper = event.key.system;
        break;
    case sf::Event::TextEntered:
        if (event.text.unicode >= 32 && event.text.unicode != 127) io.AddInputCharacter(event.text.unicode);
        break;
    case sf::Event::LostFocus:
        for (bool& down : io.KeysDown) down = false;
        io.KeyCtrl = io.KeyShift = io.KeySuper = false;
        focused_ = false;
        break;
    case sf::Event::GainedFocus:
        focused_ = true;
        break;
    default:
        break;
    }
}

void Host::begin(float seconds) {
    ImGuiIO& io = ImGui::GetIO();
    const auto size = window_.getSize();
    io.DisplaySize = {static_cast<float>(size.x), static_cast<float>(size.y)};
    // A frame that came late is no key held down for long: keys repeat after a quarter of a second.
    io.DeltaTime = std::clamp(seconds, 1e-4F, 0.05F);
    bool after[3];
    for (int k = 0; k < 3; ++k) {
        after[k] = io.MouseDown[k];
        io.MouseDown[k] = io.MouseDown[k] || pressed_[k];
        pressed_[k] = false;
    }
    std::vector<int> released; // within this frame
    for (const int key : struck_)
        if (key < IM_ARRAYSIZE(io.KeysDown) && !io.KeysDown[key])
            io.KeysDown[key] = true, released.push_back(key);
    struck_.clear();
    ImGui_ImplOpenGL3_NewFrame();
    ImGui::NewFrame();
    for (int k = 0; k < 3; ++k) io.MouseDown[k] = after[k];
    for (const int key : released) io.KeysDown[key] = false;
    show_cursor();
}

void Host::show_cursor() {
    const int wanted = ImGui::GetMouseCursor();
    if (!cursors_.loaded || wanted == shown_) return;
    shown_ = wanted;
    window_.setMouseCursor(wanted == ImGuiMouseCursor_TextInput  ? cursors_.text
                           : wanted == ImGuiMouseCursor_Hand     ? cursors_.hand
                           : wanted == ImGuiMouseCursor_ResizeEW ? cursors_.sideways
                                                                 : cursors_.arrow);
}

void Host::draw() {
    ImGui::Render();
    window_.pushGLStates();
    window_.setActive(true);
    ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
    window_.popGLStates();
    window_.resetGLStates();
}

bool Host::wants_keys() const { return ImGui::GetIO().WantTextInput; }
bool Host::wants_mouse() const { return ImGui::GetIO().WantCaptureMouse; }

} // namespace lostvolts
