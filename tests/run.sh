#!/bin/sh
# Builds and tests everything, on a fresh Debian too.
#
#     sh tests/run.sh                  all configurations
#     sh tests/run.sh release shape    those named
#
#     release    gcc, optimised; warnings are errors
#     clang      the same by clang
#     debug      gcc with the address, undefined-behaviour and leak sanitizers
#     thread     clang with the thread sanitizer, the tests whose code runs in threads
#     ranks      the command under mpirun, with any number of ranks and threads
#     valgrind   the tests under memcheck, the long ones smaller
#     header     fairlead.h alone as C99 and C++17, and each other header by itself
#     shape      layers, lengths, names, exports, references ... of the code (tests/shape)
#     format     clang-format finds nothing to change
#     tidy       clang-tidy finds nothing to say
#     install    an outside project uses the installed package
#     page       reports of all examples in a browser; needs npm for two packages (tests/page)
#
# Logs are in build/logs. The last line says how many tests passed and failed.
set -u
cd "$(dirname "$0")/.."
configurations="release clang debug thread ranks valgrind header shape format tidy install page"

usage() {
    sed -n '2,/^set -u/s/^# \{0,1\}//p' tests/run.sh
}

for word in "$@"; do
    case " $configurations -h --help " in
    *" $word "*) ;;
    *) echo "run.sh: unknown configuration '$word', known are: $configurations" >&2 && exit 2 ;;
    esac
    case $word in
    -h | --help) usage && exit 0 ;;
    esac
done

logs=build/logs
jobs=$(nproc)
passed=0
failed=0
mkdir -p "$logs"
# Idle threads sleep: on a busy machine those that spin take the time of those that work.
export LC_ALL=C.UTF-8 OMP_NUM_THREADS=2 OMP_WAIT_POLICY=passive

# step NAME COMMAND...: one test; its output goes to a log, the end of which is shown if it fails.
step() {
    title=$1
    shift
    log=$logs/$(echo "$title" | tr -c 'a-zA-Z0-9.\n' '-').log
    if "$@" >"$log" 2>&1; then
        passed=$((passed + 1))
        echo "ok      $title"
    else
        failed=$((failed + 1))
        echo "FAILED  $title"
        grep -vE ' warnings generated[.]$|^\[ *[0-9]+%\]|not remade' "$log" | tail -n 60 |
            sed 's/^/    /'
        echo "    (all of it in $log)"
        return 1
    fi
}

# build NAME CMAKE-ARGUMENT...: configures and builds into build/NAME.
build() {
    name=$1
    shift
    cmake -S . -B "build/$name" -G "Unix Makefiles" "$@" &&
        cmake --build "build/$name" -j "$jobs" -- --keep-going
}

build_release() {
    build release -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Release -DFAIRLEAD_WERROR=ON
}

build_clang() {
    build clang -DCMAKE_C_COMPILER=clang-14 -DCMAKE_BUILD_TYPE=Release -DFAIRLEAD_WERROR=ON
}

build_debug() {
    build debug -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Debug "-DCMAKE_C_FLAGS_DEBUG=-O1 -g" \
        -DFAIRLEAD_WERROR=ON -DFAIRLEAD_SANITIZE=address,undefined
}

build_thread() {
    build thread -DCMAKE_C_COMPILER=clang-14 -DCMAKE_BUILD_TYPE=Release \
        "-DCMAKE_C_FLAGS_RELEASE=-O1 -g -DNDEBUG" -DFAIRLEAD_WERROR=ON -DFAIRLEAD_SANITIZE=thread
}

build_ranks() {
    build ranks -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Release -DFAIRLEAD_WERROR=ON \
        -DFAIRLEAD_TESTS=OFF -DFAIRLEAD_MPI=ON
}

build_valgrind() {
    memcheck="valgrind;--quiet;--error-exitcode=99;--leak-check=full;--num-callers=30"
    memcheck="$memcheck;--errors-for-leak-kinds=definite,indirect,possible"
    memcheck="$memcheck;--show-leak-kinds=definite,indirect,possible"
    memcheck="$memcheck;--suppressions=$PWD/tests/valgrind.supp"
    build valgrind -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Release \
        "-DCMAKE_C_FLAGS_RELEASE=-O1 -g -DNDEBUG" "-DFAIRLEAD_RUNNER=$memcheck"
}

# suite NAME SECONDS [NAMES]: builds NAME and runs its tests, or those whose names match, each
# within so many seconds.
suite() {
    step "$1: build" "build_$1" || return
    log=$logs/$1-tests.log
    ctest --test-dir "build/$1" -V -j "$jobs" --timeout "$2" -R "${3:-.}" >"$log" 2>&1
    awk -v title="$1" -v shown=60 -f tests/count.awk "$log" >"$log.counted"
    sed '$d' "$log.counted"
    counted=$(tail -n 1 "$log.counted")
    set -- "$1" $counted
    passed=$((passed + $2))
    failed=$((failed + $4))
    [ "$4" -eq 0 ] && echo "ok      $1: $2 tests" || echo "    (all of it in $log)"
}

check_release() {
    suite release 300
}

check_clang() {
    suite clang 300
}

check_debug() {
    export UBSAN_OPTIONS=print_stacktrace=1
    suite debug 600
    unset UBSAN_OPTIONS
}

# What is not compiled with the sanitizer, as the runtime of OpenMP, it cannot see into.
check_thread() {
    export TSAN_OPTIONS=ignore_noninstrumented_modules=1
    suite thread 600 '^(studies|path|response|command)/|^fairlead$|^model$'
    unset TSAN_OPTIONS
}

check_ranks() {
    step "ranks: build" build_ranks || return
    step "ranks" sh tests/ranks/run.sh build/ranks
}

check_valgrind() {
    export FL_TEST_QUICK=1
    suite valgrind 1800
    unset FL_TEST_QUICK
}

check_header() {
    step "header" sh tests/header/run.sh
}

check_shape() {
    step "shape: build" build_release || return
    for script in tests/shape/*.sh; do
        step "shape: $(basename "$script" .sh)" sh "$script" build/release
    done
}

format() {
    find src tests \( -name '*.[ch]' -o -name '*.cpp' \) -print0 |
        xargs -0 clang-format-14 --dry-run -Werror
}

check_format() {
    step "format" format
}

# The library's sources see tests/tidy.h first, which says what one source alone cannot. What
# src/page has in C is of browsers, and not in this build.
tidy() {
    cmake -S . -B build/tidy -DCMAKE_C_COMPILER=clang-14 -DFAIRLEAD_TESTS=OFF -DFAIRLEAD_MPI=ON ||
        return
    known="--extra-arg=-include$PWD/tests/tidy.h --extra-arg=-D_XOPEN_SOURCE=700"
    plain=$(grep -rlE --include='*.c' '^fl_status fl_[a-z_]*fail[a-z_]*\(' src
        find src/command -name '*.c')
    status=0
    find src -name '*.c' ! -path 'src/page/*' | grep -vxF "$plain" |
        xargs -n 1 -P "$jobs" clang-tidy-14 --quiet -p build/tidy $known || status=1
    echo "$plain" | xargs -n 1 -P "$jobs" clang-tidy-14 --quiet -p build/tidy || status=1
    return $status
}

check_tidy() {
    step "tidy" tidy
}

check_install() {
    step "install: build" build_release || return
    for part in layout moved cmake-shared cmake-static pkgconfig-shared pkgconfig-static; do
        step "install: $part" sh tests/install/run.sh "$part" build/release
    done
}

check_page() {
    step "page: packages" sh tests/packages.sh page || return
    step "page: build" build_release || return
    step "page: reports in a browser" sh tests/page/run.sh build/release
}

if step "packages" sh tests/packages.sh build test; then
    for word in ${*:-$configurations}; do
        started=$(date +%s)
        "check_$word"
        echo "        $word took $(($(date +%s) - started)) s"
    done
fi

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
