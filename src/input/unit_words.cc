// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "unit_words.h"

#include <algorithm>
#include <array>
#include <cstdint>

#include "text.h"
#include "word_index.h"

namespace ohmglow {
namespace {

// One character of UTF-8; steps over it. Bytes that are none stand for themselves.
char32_t NextChar(std::string_view text, std::size_t& at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(at);
  const int more = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : first >= 0xC0 ? 1 : 0;
  if (more == 0 || at + static_cast<std::size_t>(more) >= text.size()) return byte(at++);
  char32_t code = first & (0x3FU >> static_cast<unsigned>(more));
  for (int i = 1; i <= more; ++i) {
    code = code << 6U | (byte(at + static_cast<std::size_t>(i)) & 0x3FU);
  }
  at += static_cast<std::size_t>(more) + 1;
  return code;
}

// Base letters of U+00C0..U+00FF and U+0100..U+017F (the Unicode charts "Latin-1 Supplement" and
// "Latin Extended-A"); '*' has none of one letter.
constexpr std::string_view kLatin1 =
    "aaaaaa*ceeeeiiiidnooooo*ouuuuy**"
    "aaaaaa*ceeeeiiiidnooooo*ouuuuy*y";
constexpr std::string_view kExtendedA =
    "aaaaaaccccccccddddeeeeeeeeeegggg"
    "gggghhhhiiiiiiiiii**jjkkklllllll"
    "lllnnnnnnnnnoooooo**rrrrrrssssss"
    "ssttttttuuuuuuuuuuuuwwyyyzzzzzzs";
static_assert(kLatin1.size() == 64 && kExtendedA.size() == 128);

// Nothing where the character stays as it is.
std::optional<std::string_view> FoldChar(char32_t code) {
  if (code >= 0xC0 && code <= 0xFF && kLatin1[code - 0xC0] != '*') {
    return kLatin1.substr(code - 0xC0, 1);
  }
  if (code >= 0x100 && code <= 0x17F && kExtendedA[code - 0x100] != '*') {
    return kExtendedA.substr(code - 0x100, 1);
  }
  switch (code) {
    case 0xDF:
      return "ss";
    case 0xC6:
    case 0xE6:
      return "ae";
    case 0xB5:   // Micro sign.
    case 0x3BC:  // Greek mu.
      return "u";
    case 0xA0:  // Blanks that do not break a line, thin ones, that of East Asia.
    case 0x2007:
    case 0x2009:
    case 0x202F:
    case 0x3000:
      return " ";
    case 0xFEFF:
      return "";
    case 0xFF08:  // Wide brackets.
      return "(";
    case 0xFF09:
      return ")";
    case 0x2212:  // Minus.
      return "-";
    default:
      return std::nullopt;
  }
}

// Cyrillic letters (the Unicode chart "Cyrillic") as small ones, without dots on the e.
std::optional<char32_t> SmallCyrillic(char32_t code) {
  constexpr char32_t kSmallE = 0x435;
  if (code == 0x401 || code == 0x451) return kSmallE;
  if (code >= 0x404 && code <= 0x407) return code + 0x50;
  if (code >= 0x410 && code <= 0x42F) return code + 0x20;
  return std::nullopt;
}

struct UnitWord {
  std::string_view text;
  Unit unit;
};

const std::vector<UnitWord>& UnitWords() {
  using enum Dimension;
  // Prefixes and symbols: the SI brochure; mil and inch: 25.4 mm exactly. Cyrillic, Chinese and
  // Japanese ones from memory.
  static const std::vector<UnitWord> kWords = {{"s", {kTime, 1, "s"}},
                                               {"sec", {kTime, 1, "s"}},
                                               {"secs", {kTime, 1, "s"}},
                                               {"second", {kTime, 1, "s"}},
                                               {"seconds", {kTime, 1, "s"}},
                                               {"sekunden", {kTime, 1, "s"}},
                                               {"sek", {kTime, 1, "s"}},
                                               {"secondes", {kTime, 1, "s"}},
                                               {"segundos", {kTime, 1, "s"}},
                                               {"secondi", {kTime, 1, "s"}},
                                               {"ms", {kTime, 1e-3, "ms"}},
                                               {"msec", {kTime, 1e-3, "ms"}},
                                               {"millis", {kTime, 1e-3, "ms"}},
                                               {"milliseconds", {kTime, 1e-3, "ms"}},
                                               {"us", {kTime, 1e-6, "us"}},
                                               {"usec", {kTime, 1e-6, "us"}},
                                               {"ns", {kTime, 1e-9, "ns"}},
                                               {"min", {kTime, 60, "min"}},
                                               {"minutes", {kTime, 60, "min"}},
                                               {"minuten", {kTime, 60, "min"}},
                                               {"h", {kTime, 3600, "h"}},
                                               {"hours", {kTime, 3600, "h"}},
                                               {"v", {kVolts, 1, "V"}},
                                               {"volt", {kVolts, 1, "V"}},
                                               {"volts", {kVolts, 1, "V"}},
                                               {"vdc", {kVolts, 1, "V"}},
                                               {"mv", {kVolts, 1e-3, "mV"}},
                                               {"millivolts", {kVolts, 1e-3, "mV"}},
                                               {"uv", {kVolts, 1e-6, "uV"}},
                                               {"kv", {kVolts, 1e3, "kV"}},
                                               {"a", {kAmps, 1, "A"}},
                                               {"amp", {kAmps, 1, "A"}},
                                               {"amps", {kAmps, 1, "A"}},
                                               {"ampere", {kAmps, 1, "A"}},
                                               {"amperes", {kAmps, 1, "A"}},
                                               {"adc", {kAmps, 1, "A"}},
                                               {"ma", {kAmps, 1e-3, "mA"}},
                                               {"milliamps", {kAmps, 1e-3, "mA"}},
                                               {"milliampere", {kAmps, 1e-3, "mA"}},
                                               {"ua", {kAmps, 1e-6, "uA"}},
                                               {"ka", {kAmps, 1e3, "kA"}},
                                               {"w", {kWatts, 1, "W"}},
                                               {"watt", {kWatts, 1, "W"}},
                                               {"watts", {kWatts, 1, "W"}},
                                               {"mw", {kWatts, 1e-3, "mW"}},
                                               {"milliwatts", {kWatts, 1e-3, "mW"}},
                                               {"uw", {kWatts, 1e-6, "uW"}},
                                               {"kw", {kWatts, 1e3, "kW"}},
                                               {"mm", {kLength, 1, "mm"}},
                                               {"millimeter", {kLength, 1, "mm"}},
                                               {"millimeters", {kLength, 1, "mm"}},
                                               {"millimetre", {kLength, 1, "mm"}},
                                               {"millimetres", {kLength, 1, "mm"}},
                                               {"cm", {kLength, 10, "cm"}},
                                               {"um", {kLength, 1e-3, "um"}},
                                               {"micron", {kLength, 1e-3, "um"}},
                                               {"microns", {kLength, 1e-3, "um"}},
                                               {"mil", {kLength, 0.0254, "mil"}},
                                               {"mils", {kLength, 0.0254, "mil"}},
                                               {"thou", {kLength, 0.0254, "mil"}},
                                               {"in", {kLength, 25.4, "inch"}},
                                               {"inch", {kLength, 25.4, "inch"}},
                                               {"inches", {kLength, 25.4, "inch"}},
                                               {"zoll", {kLength, 25.4, "inch"}},
                                               {"\"", {kLength, 25.4, "inch"}},
                                               {"ah", {kCharge, 1, "Ah"}},
                                               {"mah", {kCharge, 1, "mAh"}},
                                               {"wh", {kCharge, 1, "Wh"}},
                                               {"mwh", {kCharge, 1, "mWh"}},
                                               {"kwh", {kCharge, 1, "kWh"}},
                                               {"ohm", {kOther, 1, "ohm"}},
                                               {"ohms", {kOther, 1, "ohm"}},
                                               {"deg", {kOther, 1, "deg"}},
                                               {"\xC2\xB0", {kOther, 1, "deg"}},
                                               {"\xC2\xB0"
                                                "c",
                                                {kOther, 1, "degC"}},
                                               {"degc", {kOther, 1, "degC"}},
                                               {"degrees", {kOther, 1, "deg"}},
                                               {"hz", {kOther, 1, "Hz"}},
                                               {"%", {kOther, 1, "%"}},
                                               {"\xD1\x81", {kTime, 1, "s"}},
                                               {"\xD1\x81\xD0\xB5\xD0\xBA", {kTime, 1, "s"}},
                                               {"\xD0\xBC\xD1\x81", {kTime, 1e-3, "ms"}},
                                               {"\xD0\xBC\xD0\xB8\xD0\xBD", {kTime, 60, "min"}},
                                               {"\xE7\xA7\x92", {kTime, 1, "s"}},
                                               {"\xE6\xAF\xAB\xE7\xA7\x92", {kTime, 1e-3, "ms"}},
                                               {"\xD0\xB2", {kVolts, 1, "V"}},
                                               {"\xD0\xBC\xD0\xB2", {kVolts, 1e-3, "mV"}},
                                               {"\xE4\xBC\x8F", {kVolts, 1, "V"}},
                                               {"\xD0\xB0", {kAmps, 1, "A"}},
                                               {"\xD0\xBC\xD0\xB0", {kAmps, 1e-3, "mA"}},
                                               {"\xE5\xAE\x89", {kAmps, 1, "A"}},
                                               {"\xE6\xAF\xAB\xE5\xAE\x89", {kAmps, 1e-3, "mA"}},
                                               {"\xD0\xB2\xD1\x82", {kWatts, 1, "W"}},
                                               {"\xD0\xBC\xD0\xB2\xD1\x82", {kWatts, 1e-3, "mW"}},
                                               {"\xD0\xBC\xD0\xBC", {kLength, 1, "mm"}}};
  return kWords;
}

bool IsLetter(char c) { return (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80; }
bool IsUpper(char c) { return c >= 'A' && c <= 'Z'; }

// A blank before each capital that begins a word: "OutputCurrent", "CHVoltage".
std::string PartCapitals(std::string_view text) {
  std::string parted;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool after_small = i > 0 && text[i - 1] >= 'a' && text[i - 1] <= 'z';
    const bool before_small = i + 1 < text.size() && text[i + 1] >= 'a' && text[i + 1] <= 'z';
    const bool after_capital = i > 0 && IsUpper(text[i - 1]);
    if (IsUpper(text[i]) && (after_small || (after_capital && before_small))) parted += ' ';
    parted += text[i];
  }
  return parted;
}

std::vector<std::string> Words(std::string_view folded) {
  std::vector<std::string> words;
  char before = ' ';
  for (const char c : folded) {
    const bool letter = IsLetter(c);
    const bool digit = IsDigit(c);
    if (letter || digit) {
      const bool goes_on = letter ? IsLetter(before) : IsDigit(before);
      if (!goes_on) words.emplace_back();
      words.back() += c;
    }
    before = c;
  }
  return words;
}

// Cuts what `open`..`close` hold out of the text where it is a unit.
std::optional<Unit> TakeBracketed(std::string& text, char open, char close) {
  const std::size_t begin = text.rfind(open);
  if (begin == std::string::npos) return std::nullopt;
  const std::size_t end = text.find(close, begin);
  if (end == std::string::npos) return std::nullopt;
  const auto unit = ParseUnit(std::string_view(text).substr(begin + 1, end - begin - 1));
  if (unit) text.erase(begin, end - begin + 1);
  return unit;
}

// Cuts a unit off that stands last, after a slash, comma, colon, underscore, hyphen or blank.
std::optional<Unit> TakeLast(std::string& text) {
  const std::size_t sign = text.find_last_of("/,:_- ");
  if (sign == std::string::npos || sign == 0) return std::nullopt;
  const auto unit = ParseUnit(std::string_view(text).substr(sign + 1));
  // "channel A" and "voltage v" differ by their words alone: a letter after a blank is a unit
  // only where a word stands before it that is no "channel"; readers of the words decide.
  if (unit) text.erase(sign);
  return unit;
}

}  // namespace

std::string Fold(std::string_view utf8) {
  std::string folded;
  folded.reserve(utf8.size());
  for (std::size_t at = 0; at < utf8.size();) {
    const std::size_t begin = at;
    const char32_t code = NextChar(utf8, at);
    if (code < 0x80) {
      folded += code >= 'A' && code <= 'Z' ? static_cast<char>(code + ('a' - 'A'))
                                           : static_cast<char>(code);
    } else if (const auto letters = FoldChar(code)) {
      folded += *letters;
    } else if (const auto small = SmallCyrillic(code)) {
      folded += static_cast<char>(0xC0U | *small >> 6U);
      folded += static_cast<char>(0x80U | (*small & 0x3FU));
    } else {
      folded += utf8.substr(begin, at - begin);
    }
  }
  return folded;
}

std::optional<Unit> ParseUnit(std::string_view text) {
  std::string folded = Fold(Trim(text));
  const auto strip = [&](char c) { return c == ' ' || c == '.'; };
  while (folded.size() > 1 && strip(folded.back())) folded.pop_back();
  const std::string_view ends = "([{";
  if (folded.size() > 2 && ends.find(folded.front()) != std::string_view::npos) {
    folded = Trim(std::string_view(folded).substr(1, folded.size() - 2));
  }
  static const WordIndex<UnitWord> kIndex(UnitWords());
  const UnitWord* const found = kIndex.Find(folded);
  return found == nullptr ? std::nullopt : std::optional(found->unit);
}

HeaderCell ReadHeaderCell(std::string_view cell) {
  HeaderCell header;
  std::string text(Trim(cell));
  // Wide brackets and odd blanks become plain ones; capitals are still needed.
  if (text.find("\xEF\xBC\x88") != std::string::npos ||
      text.find("\xC2\xA0") != std::string::npos) {
    text = Fold(text);
  }
  if (auto unit = ParseUnit(text)) return {{Fold(text)}, std::move(unit)};  // "volts", "mA".
  header.unit = TakeBracketed(text, '(', ')');
  if (!header.unit) header.unit = TakeBracketed(text, '[', ']');
  if (!header.unit) header.unit = TakeBracketed(text, '{', '}');
  if (!header.unit) header.unit = TakeLast(text);
  header.words = Words(Fold(PartCapitals(text)));
  return header;
}

}  // namespace ohmglow
