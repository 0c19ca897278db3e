# What the scripts share: which Debian packages the work needs, and how the program is built.
# Sourced by viewer/start, tests/run and .ci/run. Goes to the top of the tree and defines
#   need_packages GROUP...       installs what the groups lack; when they lack nothing, apt is not called
#   become_owner SCRIPT ARG...   after `sudo SCRIPT`: goes on as the person who owns the tree
#   build_lostvolts [tests]      configures and builds Release in build/; does nothing twice
#   build_with_sanitizers NAME   builds all with clang and sanitizers in build-NAME/, warnings as errors: fuzz has the
#                                fuzzers, address and thread the tests

# shellcheck shell=bash disable=SC2034  # need_packages takes the lists by name
packages_runtime=(
    libgl1-mesa-dri fonts-dejavu-core
)
packages_build=(
    build-essential cmake ninja-build pkg-config
    libeigen3-dev libboost-dev libtomlplusplus-dev libfmt-dev libcli11-dev nlohmann-json3-dev libfast-float-dev
    libfftw3-dev libcairo2-dev libsqlite3-dev libsfml-dev libimgui-dev libgl-dev
)
packages_tests=(
    doctest-dev liblapacke-dev libgsl-dev libsundials-dev units git
    xvfb xauth xdotool imagemagick poppler-utils
    python3-jsonschema groff-base man-db bsdextrautils mandoc bash-completion desktop-file-utils
)
packages_ci=(clang clang-format chromium) # chromium: 290 MB, for one test, which is skipped without it
packages_fuzz=(clang libclang-rt-14-dev)
packages_bench=(libbenchmark-dev libsuitesparse-dev)

cd -- "$(dirname -- "$(readlink -f -- "${BASH_SOURCE[0]}")")/.." || exit 1

stop() {
    printf '%s\n' "$@" >&2
    exit 1
}

need_packages() {
    local group package wanted=() missing=() root=()
    for group; do
        local -n list="packages_$group"
        wanted+=("${list[@]}")
    done
    command -v dpkg-query >/dev/null ||
        stop "These scripts install packages on Debian 12. Elsewhere, install the counterparts of" \
             "    ${wanted[*]}" "and build with CMake, as DEVELOPERS.md says."

    local installed
    installed=$(dpkg-query -W -f '${db:Status-Status} ${Package}\n' "${wanted[@]}" 2>/dev/null) || true
    for package in "${wanted[@]}"; do
        grep -qxF "installed $package" <<<"$installed" || missing+=("$package")
    done
    ((${#missing[@]})) || return 0

    local by_hand="apt-get update && apt-get install --no-install-recommends ${missing[*]}"
    echo "Going to install with apt: ${missing[*]}"
    if ((EUID != 0)); then
        command -v sudo >/dev/null ||
            stop "That needs root, and there is no sudo here. As root, run" "    $by_hand" "and then start this again."
        root=(sudo)
    fi
    local apt=("${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -q -o DPkg::Lock::Timeout=120)
    local install=("${apt[@]}" install --yes --no-install-recommends "${missing[@]}")
    # Absent package lists don't know the names; stale ones name files that are gone.
    { apt-cache show "${missing[@]}" >/dev/null 2>&1 && "${install[@]}"; } ||
        { "${apt[@]}" update && "${install[@]}"; } ||
        stop "apt could not install them; its reason is above. By hand, as root:" "    $by_hand"
}

# A build/ made by root would stand in its owner's way ever after.
become_owner() {
    if ((EUID == 0)) && [[ ${SUDO_UID:-0} != 0 && $(stat -c %u .) == "${SUDO_UID:-}" ]]; then
        exec sudo -H -u "#$SUDO_UID" -- "$@"
    fi
}

cached() { sed -n "s/^$1:[A-Z]*=//p" build/CMakeCache.txt 2>/dev/null || true; }

build_lostvolts() {
    local tests=OFF target=(--target lostvolts) fresh=()
    if [[ ${1:-} == tests ]]; then
        tests=ON target=()
    fi
    # No build/ yet, or one that came with a folder moved or copied from elsewhere.
    [[ $(cached CMAKE_HOME_DIRECTORY) == "$PWD" ]] || fresh=(--fresh -G Ninja)
    if [[ ${#fresh[@]} != 0 || ! -f build/build.ninja || $(cached CMAKE_BUILD_TYPE) != Release ||
          ($tests == ON && $(cached LOSTVOLTS_TESTS) != ON) ]]; then
        cmake "${fresh[@]}" -S . -B build -DCMAKE_BUILD_TYPE=Release "-DLOSTVOLTS_TESTS=$tests"
    fi
    cmake --build build "${target[@]}" -j "$(nproc)"
}

# Warnings are errors here only, so that a newer compiler's new warning stops nobody's build. The library's own
# assertions (an index past the end of a vector, an empty optional) are on as well.
#   build_with_sanitizers fuzz|address|thread
build_with_sanitizers() {
    local sanitizers tests=ON fuzz=OFF
    case $1 in
        fuzz) sanitizers=address,undefined,fuzzer-no-link tests=OFF fuzz=ON ;;
        address) sanitizers=address,undefined ;;
        thread) sanitizers=thread ;;
        *) stop "There is no sanitizer \"$1\" here: address, which has undefined behaviour with it, or thread." ;;
    esac
    local flags="-O1 -g1 -fno-omit-frame-pointer -D_GLIBCXX_ASSERTIONS -Werror -fsanitize=$sanitizers -fno-sanitize-recover=all"
    # A library that has been unloaded has no name that a suppression could say: here none ever is.
    mkdir -p "build-$1"
    echo 'int dlclose(void *library) { return library == 0; }' | clang -x c -c -o "build-$1/keep_loaded.o" -
    cmake -S . -B "build-$1" -G Ninja -DCMAKE_CXX_COMPILER=clang++ -DCMAKE_BUILD_TYPE=None \
        "-DCMAKE_CXX_FLAGS=$flags" "-DCMAKE_CXX_STANDARD_LIBRARIES=$PWD/build-$1/keep_loaded.o" \
        "-DLOSTVOLTS_TESTS=$tests" "-DLOSTVOLTS_FUZZ=$fuzz" -DLOSTVOLTS_PATIENCE=3000
    cmake --build "build-$1" -j "$(nproc)"
}
