// SHA-256, by which a kept job's files are known again.
// Source: NIST FIPS 180-4 (August 2015), sections 4.1.2, 4.2.2, 5.1.1 and 6.2.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace lostvolts {

class Sha256 {
  public:
    void add(std::string_view bytes);
    /// 64 lower-case hexadecimal digits of all that was added; nothing may be added after it.
    std::string hex();

  private:
    void take_block(const unsigned char* block);
    std::array<std::uint32_t, 8> state_{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                                        0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
    std::array<unsigned char, 64> block_{};
    std::size_t filled_ = 0;
    std::uint64_t bytes_ = 0;
};

std::string sha256(std::string_view bytes);

} // namespace lostvolts
