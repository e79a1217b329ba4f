// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

#include "ohmglow/sheet/sheet.h"

namespace ohmglow::cli {

// What the customer's page is made of, from files. Each function throws
// InputError naming the file, the key or line, and what to do.

/// Result, maps and photo of a folder that `locate` has written. A folder of an
/// older version has no maps; the page then has no thermal picture.
void ReadResultInto(SheetContent& content, const std::filesystem::path& folder);

/// A text that stands on the page: UTF-8.
[[nodiscard]] std::string ReadUtf8(const std::filesystem::path& file, const std::string& named_by);

/// A folder that `compare` has written.
/// @param result  what the page is about: must be the first of the two captures,
///                or the page would tell of another board's repair.
[[nodiscard]] RepairCheck ReadRepair(const std::filesystem::path& folder,
                                     const LocateResult& result);

/// [shop] name, logo, address, phone, mail, web, tax. The logo's path is
/// relative to the file.
[[nodiscard]] Shop ReadShop(const std::filesystem::path& file);

}  // namespace ohmglow::cli
