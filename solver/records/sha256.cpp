#include "solver/records/sha256.h"

#include <algorithm>
#include <bit>
#include <cstring>

namespace lostvolts {
namespace {

// FIPS 180-4, 4.2.2: the first 32 bits of the fractional parts of the cube roots of the first 64 primes.
constexpr std::array<std::uint32_t, 64> constants = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

} // namespace

void Sha256::take_block(const unsigned char* block) {
    std::array<std::uint32_t, 64> w;
    for (std::size_t t = 0; t < 16; ++t)
        w[t] = std::uint32_t(block[4 * t]) << 24 | std::uint32_t(block[4 * t + 1]) << 16 |
               std::uint32_t(block[4 * t + 2]) << 8 | std::uint32_t(block[4 * t + 3]);
    for (std::size_t t = 16; t < 64; ++t) {
        const std::uint32_t a = w[t - 15], b = w[t - 2];
        w[t] = (std::rotr(b, 17) ^ std::rotr(b, 19) ^ b >> 10) + w[t - 7] +
               (std::rotr(a, 7) ^ std::rotr(a, 18) ^ a >> 3) + w[t - 16];
    }
    auto [a, b, c, d, e, f, g, h] = state_;
    for (std::size_t t = 0; t < 64; ++t) {
        const std::uint32_t one = h + (std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25)) +
                                  ((e & f) ^ (~e & g)) + constants[t] + w[t];
        const std::uint32_t two =
            (std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22)) + ((a & b) ^ (a & c) ^ (b & c));
        h = g, g = f, f = e, e = d + one, d = c, c = b, b = a, a = one + two;
    }
    const std::array<std::uint32_t, 8> more{a, b, c, d, e, f, g, h};
    for (std::size_t k = 0; k < 8; ++k) state_[k] += more[k];
}

void Sha256::add(std::string_view bytes) {
    bytes_ += bytes.size();
    while (!bytes.empty()) {
        const std::size_t n = std::min(bytes.size(), block_.size() - filled_);
        std::memcpy(block_.data() + filled_, bytes.data(), n);
        bytes.remove_prefix(n);
        filled_ += n;
        if (filled_ < block_.size()) return;
        take_block(block_.data());
        filled_ = 0;
    }
}

std::string Sha256::hex() {
    const std::uint64_t bits = 8 * bytes_;
    add(std::string_view("\x80", 1));
    while (filled_ != 56) add(std::string_view("\0", 1));
    std::array<char, 8> length;
    for (std::size_t k = 0; k < 8; ++k) length[k] = static_cast<char>(bits >> (56 - 8 * k));
    add({length.data(), length.size()});
    std::string text;
    for (const std::uint32_t word : state_)
        for (int shift = 28; shift >= 0; shift -= 4) text += "0123456789abcdef"[word >> shift & 15];
    return text;
}

std::string sha256(std::string_view bytes) {
    Sha256 sum;
    sum.add(bytes);
    return sum.hex();
}

} // namespace lostvolts
