// A file's descriptor that closes on every way out, and all of a text written through one.
#pragma once

#include <string_view>
#include <utility>

#include <unistd.h>

namespace lostvolts {

class Descriptor {
  public:
    explicit Descriptor(int number) : number_(number) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
    Descriptor& operator=(Descriptor&& other) noexcept {
        close();
        number_ = std::exchange(other.number_, -1);
        return *this;
    }
    ~Descriptor() { close(); }
    int number() const { return number_; }
    /// False when the system could not keep what was written. The standard streams stay open.
    bool close() {
        const int n = std::exchange(number_, -1);
        return n <= STDERR_FILENO || ::close(n) == 0;
    }

  private:
    int number_;
};

/// 0, or the errno of what stopped it.
int write_all(int to, std::string_view text);

} // namespace lostvolts
