// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "random.h"

#include <cmath>

namespace ohmglow::simulate {
namespace {

// FNV-1a over the name, then the finalizer of splitmix64 over both.
std::uint64_t Mix(std::uint64_t seed, std::string_view stream) {
  std::uint64_t hash = 14695981039346656037ULL;
  for (const char c : stream) {
    hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
  }
  std::uint64_t z = hash + 0x9E3779B97F4A7C15ULL * (seed + 1);
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31);
}

}  // namespace

Random::Random(std::uint64_t seed, std::string_view stream) : engine_(Mix(seed, stream)) {}

double Random::Uniform() { return static_cast<double>(engine_() >> 11) * 0x1p-53; }

double Random::Uniform(double low, double high) { return low + (high - low) * Uniform(); }

int Random::Integer(int low, int high) {
  return low + static_cast<int>(Uniform() * (high - low + 1));
}

// Polar method of Marsaglia.
double Random::Normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  double u = 0;
  double v = 0;
  double r2 = 0;
  do {
    u = 2 * Uniform() - 1;
    v = 2 * Uniform() - 1;
    r2 = u * u + v * v;
  } while (r2 >= 1 || r2 == 0);
  const double f = std::sqrt(-2 * std::log(r2) / r2);
  spare_ = v * f;
  has_spare_ = true;
  return u * f;
}

}  // namespace ohmglow::simulate
