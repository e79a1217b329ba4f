// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "batch/summary.h"

namespace ohmglow::batch {

/// The picture of a case beside its result that the page shows.
inline constexpr std::string_view kThumbnailName = "thumbnail.jpg";

/// index.html: a contact sheet, a row for each case. Stands by itself but for
/// the pictures in the cases' folders; links are relative; without script it is
/// a plain table, with it the columns sort. Text from files is escaped.
/// @param language  of Words::Report().
[[nodiscard]] std::string ToIndexPage(const Summary& summary, const std::string& language = "en");

/// Whether a text is such a page.
[[nodiscard]] bool IsIndexPage(std::string_view text);

}  // namespace ohmglow::batch
