// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace ohmglow {

/// Length along the part's own x axis, as it lies unturned, and width of a body.
struct BodySize {
  double x_mm = 0;
  double y_mm = 0;
  /// A chip's code that means another size in the metric count, such as 0603.
  bool code_open = false;
  bool by_pins = false;  ///< What bodies of so many pins usually are.
};

/// Body of a package by its name: chips by their code in hundredths of an inch
/// (metric ones where an M follows), moulded bodies by their usual outline, and
/// any "5x5mm" or "7 mm x 7 mm" in the name; QFN and QFP also by their pins and
/// pitch. Nothing for other names.
[[nodiscard]] std::optional<BodySize> SizeOfPackage(std::string_view name);

/// A body for a part whose package is unknown, by its kind; from memory.
[[nodiscard]] BodySize UsualSize(std::string_view kind);

}  // namespace ohmglow
