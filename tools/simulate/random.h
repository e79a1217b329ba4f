// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <random>
#include <string_view>

namespace ohmglow::simulate {

/// Random numbers that are the same with every standard library: the engine is
/// fixed by the standard, the distributions are our own.
class Random {
 public:
  /// One stream a purpose: `stream` is mixed into the seed, so that a new use
  /// of chance somewhere leaves all others as they were.
  Random(std::uint64_t seed, std::string_view stream);

  double Uniform();                         ///< [0, 1).
  double Uniform(double low, double high);  ///< [low, high).
  int Integer(int low, int high);           ///< low .. high, both included.
  double Normal();                          ///< Mean 0, standard deviation 1.
  bool Chance(double probability) { return Uniform() < probability; }

 private:
  std::mt19937_64 engine_;
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace ohmglow::simulate
