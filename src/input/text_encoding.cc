// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "text_encoding.h"

#include <iconv.h>

#include <array>
#include <cerrno>
#include <cstdint>
#include <map>
#include <memory>

namespace ohmglow {
namespace {

// RFC 2781 and the Unicode standard: the mark U+FEFF tells the order of bytes.
struct ByteOrderMark {
  std::string_view bytes;
  const char* encoding;
};
constexpr std::array<ByteOrderMark, 5> kMarks = {{{"\xEF\xBB\xBF", "UTF-8"},
                                                  {{"\xFF\xFE\0\0", 4}, "UTF-32LE"},
                                                  {{"\0\0\xFE\xFF", 4}, "UTF-32BE"},
                                                  {"\xFF\xFE", "UTF-16LE"},
                                                  {"\xFE\xFF", "UTF-16BE"}}};
// Western, middle of Europe, Cyrillic, every byte allowed, Japanese, Chinese.
constexpr std::array<const char*, 6> kCodePages = {
    "WINDOWS-1252", "WINDOWS-1250", "WINDOWS-1251", "ISO-8859-1", "CP932", "GB18030"};

// A table of ASCII words in UTF-16 has a zero in nearly every other byte.
std::optional<const char*> GuessUtf16(std::string_view bytes) {
  std::array<std::size_t, 2> zeros{};
  for (std::size_t i = 0; i < bytes.size(); ++i) zeros[i % 2] += bytes[i] == '\0' ? 1 : 0;
  const std::size_t half = bytes.size() / 2;
  if (bytes.size() % 2 != 0 || half == 0) return std::nullopt;
  if (zeros[1] * 10 > half * 7 && zeros[0] * 10 < half) return "UTF-16LE";
  if (zeros[0] * 10 > half * 7 && zeros[1] * 10 < half) return "UTF-16BE";
  return std::nullopt;
}

using Converter = std::unique_ptr<std::remove_pointer_t<iconv_t>, int (*)(iconv_t)>;

// At its beginning; null where the system has none. Kept open by each thread: glibc loads a
// module for each, which takes longer than to read a file of a few kilobytes.
iconv_t OpenConverter(const char* encoding) {
  thread_local std::map<std::string, Converter> open;
  const auto known = open.find(encoding);
  if (known != open.end()) {
    iconv(known->second.get(), nullptr, nullptr, nullptr, nullptr);
    return known->second.get();
  }
  const iconv_t opened = iconv_open("UTF-8", encoding);
  // iconv_open fails with minus one as a pointer (POSIX).
  if (reinterpret_cast<std::intptr_t>(opened) == -1) return nullptr;
  return open.emplace(encoding, Converter(opened, &iconv_close)).first->second.get();
}

std::vector<DecodedText> One(std::optional<std::string> utf8, const char* encoding) {
  if (!utf8 || utf8->find('\0') != std::string::npos) return {};
  return {{std::move(*utf8), encoding}};
}

}  // namespace

std::optional<std::string> ToUtf8(std::string_view bytes, const char* encoding) {
  const iconv_t handle = OpenConverter(encoding);
  if (handle == nullptr) return std::nullopt;
  std::string utf8;
  std::array<char, 16384> buffer{};
  char* in = const_cast<char*>(bytes.data());  // iconv reads only, whatever its type says.
  std::size_t left = bytes.size();
  while (left > 0) {
    char* out = buffer.data();
    std::size_t room = buffer.size();
    const std::size_t status = iconv(handle, &in, &left, &out, &room);
    utf8.append(buffer.data(), buffer.size() - room);
    const bool full = status == static_cast<std::size_t>(-1) && errno == E2BIG;
    if (status == static_cast<std::size_t>(-1) && !full) return std::nullopt;
  }
  return utf8;
}

std::vector<DecodedText> DecodeText(std::string_view bytes) {
  for (const ByteOrderMark& mark : kMarks) {
    if (!bytes.starts_with(mark.bytes)) continue;
    std::string_view rest = bytes.substr(mark.bytes.size());
    // A recording cut off in the middle of a character keeps all before it.
    const std::size_t unit = std::string_view(mark.encoding).starts_with("UTF-16") ? 2 : 1;
    rest = rest.substr(0, rest.size() / unit * unit);
    auto decoded = One(ToUtf8(rest, mark.encoding), mark.encoding);
    if (!decoded.empty()) return decoded;
  }
  if (bytes.find('\0') != std::string_view::npos) {
    const auto guess = GuessUtf16(bytes);
    return guess ? One(ToUtf8(bytes, *guess), *guess) : std::vector<DecodedText>();
  }
  // Likewise for a character of up to four bytes (RFC 3629) that is cut off.
  for (std::size_t cut = 0; cut < 4 && cut < bytes.size(); ++cut) {
    if (cut > 0 && static_cast<unsigned char>(bytes[bytes.size() - cut]) < 0x80) break;
    auto utf8 = One(ToUtf8(bytes.substr(0, bytes.size() - cut), "UTF-8"), "UTF-8");
    if (!utf8.empty()) return utf8;
  }
  std::vector<DecodedText> all;
  for (const char* page : kCodePages) {
    for (DecodedText& text : One(ToUtf8(bytes, page), page)) all.push_back(std::move(text));
  }
  return all;
}

}  // namespace ohmglow
