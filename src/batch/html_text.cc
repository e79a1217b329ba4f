// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/html_text.h"

#include "words/shown_text.h"

namespace ohmglow::batch {
namespace {

bool IsUnreserved(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
         std::string_view("-._~/").find(c) != std::string_view::npos;
}

}  // namespace

std::string HtmlText(std::string_view text, std::size_t max_chars) {
  std::string out;
  for (const char c : internal::CleanText(text, max_chars)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string HtmlLink(std::string_view path) {
  constexpr std::string_view kHex = "0123456789ABCDEF";
  std::string out = "./";
  for (const char c : path) {
    if (IsUnreserved(c)) {
      out += c;
      continue;
    }
    const auto byte = static_cast<unsigned char>(c);
    out += '%';
    out += kHex[byte >> 4U];
    out += kHex[byte & 15U];
  }
  return out;
}

}  // namespace ohmglow::batch
