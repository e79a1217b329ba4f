// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace ohmglow {

/// What a remark says; the list stands in remark_kind.h.
enum class RemarkKind : unsigned short;

struct RemarkValue;

/// Something that a stage has to say: what, and the numbers, names and phrases in it.
/// Only what faces a person makes a sentence of it, in that person's language: Say()
/// in words/say.h.
struct Remark {
  RemarkKind kind{};                ///< By default kQuoted.
  std::string text;                 ///< Of kQuoted alone.
  std::vector<RemarkValue> values;  ///< By the names that the sentence has for them.

  Remark() = default;
  explicit Remark(RemarkKind what);
  /// Words that are nobody's to translate: a name, a file's or another program's own words.
  [[nodiscard]] static Remark Quoted(std::string text);
  Remark(const Remark&);
  Remark(Remark&&) noexcept;
  Remark& operator=(const Remark&);
  Remark& operator=(Remark&&) noexcept;
  ~Remark();

  /// The same with one more value. Its unit is the last part of the name: "distance_mm".
  [[nodiscard]] Remark With(std::string name, double number) &&;
  [[nodiscard]] Remark With(std::string name, Remark said) &&;
  [[nodiscard]] Remark With(std::string name, std::string quoted) &&;
  [[nodiscard]] Remark With(std::string name, std::vector<Remark> list) &&;

  /// Whether there is nothing to say.
  [[nodiscard]] bool empty() const;
  /// A number of the remark; NaN where it has none of this name.
  [[nodiscard]] double Number(const std::string& name) const;

  friend bool operator==(const Remark& a, const Remark& b);
};

/// A value within a remark: a number, or one or more things that are said in its place.
struct RemarkValue {
  std::string name;
  double number = 0;
  std::vector<Remark> said;  ///< Where this is not empty, the number counts for nothing.

  friend bool operator==(const RemarkValue&, const RemarkValue&) = default;
};

}  // namespace ohmglow
