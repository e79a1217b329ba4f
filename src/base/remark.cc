// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/base/remark.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {

Remark::Remark(RemarkKind what) : kind(what) {}
Remark::Remark(const Remark&) = default;
Remark::Remark(Remark&&) noexcept = default;
Remark& Remark::operator=(const Remark&) = default;
Remark& Remark::operator=(Remark&&) noexcept = default;
Remark::~Remark() = default;

Remark Remark::Quoted(std::string text) {
  Remark remark;
  remark.text = std::move(text);
  return remark;
}

Remark Remark::With(std::string name, double number) && {
  values.push_back({std::move(name), number, {}});
  return std::move(*this);
}

Remark Remark::With(std::string name, Remark said) && {
  values.push_back({std::move(name), 0, {std::move(said)}});
  return std::move(*this);
}

Remark Remark::With(std::string name, std::string quoted) && {
  return std::move(*this).With(std::move(name), Quoted(std::move(quoted)));
}

Remark Remark::With(std::string name, std::vector<Remark> list) && {
  values.push_back({std::move(name), 0, std::move(list)});
  return std::move(*this);
}

bool Remark::empty() const { return kind == RemarkKind::kQuoted && text.empty(); }

double Remark::Number(const std::string& name) const {
  const auto found = std::find_if(
      values.begin(), values.end(), [&](const RemarkValue& value) { return value.name == name; });
  return found == values.end() ? std::numeric_limits<double>::quiet_NaN() : found->number;
}

bool operator==(const Remark& a, const Remark& b) {
  return a.kind == b.kind && a.text == b.text && a.values == b.values;
}

}  // namespace ohmglow
