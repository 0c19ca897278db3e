#include "solver/records/sha256.h"

#include <doctest/doctest.h>

using namespace lostvolts;

TEST_CASE("SHA-256 gives the digests of the published examples") {
    // Expected: NIST, Cryptographic Standards and Guidelines, example values for FIPS 180-4 (SHA-256), and
    // for the empty text and a million letters a; from memory, and checked once against coreutils' sha256sum.
    CHECK(sha256("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(sha256("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(sha256(std::string(1'000'000, 'a')) ==
          "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("a digest does not depend on the pieces that it was given in") {
    // Expected: the definition; lengths round the block of 64 bytes and the padding's 56.
    for (const std::size_t length : {1u, 55u, 56u, 57u, 63u, 64u, 65u, 119u, 120u, 128u, 1000u}) {
        std::string text;
        for (std::size_t k = 0; k < length; ++k) text += static_cast<char>(k * 37);
        Sha256 pieces;
        for (std::size_t at = 0; at < length; at += 7) pieces.add(std::string_view(text).substr(at, 7));
        CHECK(pieces.hex() == sha256(text));
    }
}
