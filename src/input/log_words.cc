// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <span>
#include <unordered_map>

#include "log_columns.h"

namespace ohmglow {
namespace {

// What a word may mean, as bits.
enum Group : unsigned {
  kTime = 1U << 0U,
  kDate = 1U << 1U,
  kVolts = 1U << 2U,
  kAmps = 1U << 3U,
  kWatts = 1U << 4U,
  kOutput = 1U << 5U,
  kSet = 1U << 6U,
  kReal = 1U << 7U,
  kOther = 1U << 8U,
  kChannel = 1U << 9U,
};

// English, German, French, Spanish, Italian, Dutch, Polish, Czech, Swedish,
// Portuguese, Chinese, Japanese, Russian, Ukrainian, Finnish, Danish, Norwegian, Turkish,
// Hungarian, Romanian, Korean, each without accents; from memory.
constexpr auto kTimeWords =
    std::to_array<std::string_view>({"time",
                                     "timestamp",
                                     "epoch",
                                     "elapsed",
                                     "zeit",
                                     "uhrzeit",
                                     "zeitstempel",
                                     "temps",
                                     "heure",
                                     "horodatage",
                                     "tiempo",
                                     "hora",
                                     "tempo",
                                     "ora",
                                     "orario",
                                     "tijd",
                                     "tijdstip",
                                     "czas",
                                     "godzina",
                                     "cas",
                                     "tid",
                                     "klockslag",
                                     "tidpunkt",
                                     "t",
                                     "\xE6\x97\xB6\xE9\x97\xB4",
                                     "\xE6\x99\x82\xE9\x96\x93",
                                     "\xE6\x97\xB6\xE5\x88\xBB",
                                     "\xE6\x99\x82\xE5\x88\xBB",
                                     "\xE6\x97\xA5\xE6\x99\x82",
                                     "datetime",
                                     "clock",
                                     "\xD0\xB2\xD1\x80\xD0\xB5\xD0\xBC\xD1\x8F",
                                     "\xD1\x87\xD0\xB0\xD1\x81",
                                     "aika",
                                     "kello",
                                     "zaman",
                                     "saat",
                                     "ido",
                                     "timp",
                                     "\xEC\x8B\x9C\xEA\xB0\x84",
                                     "\xEC\x8B\x9C\xEA\xB0\x81"});
constexpr auto kDateWords = std::to_array<std::string_view>({"date",
                                                             "datum",
                                                             "fecha",
                                                             "data",
                                                             "\xE6\x97\xA5\xE6\x9C\x9F",
                                                             "\xE6\x97\xA5\xE4\xBB\x98",
                                                             "\xD0\xB4\xD0\xB0\xD1\x82\xD0\xB0",
                                                             "dato",
                                                             "paivamaara",
                                                             "tarih",
                                                             "\xEB\x82\xA0\xEC\xA7\x9C"});
constexpr auto kVoltsWords = std::to_array<std::string_view>(
    {"voltage",
     "volt",
     "volts",
     "spannung",
     "tension",
     "voltaje",
     "tensione",
     "spanning",
     "napiecie",
     "napeti",
     "tensao",
     "vout",
     "uout",
     "vmeas",
     "u",
     "v",
     "millivolts",
     "\xE7\x94\xB5\xE5\x8E\x8B",
     "\xE9\x9B\xBB\xE5\x9C\xA7",
     "voltagem",
     "\xD0\xBD\xD0\xB0\xD0\xBF\xD1\x80\xD1\x8F\xD0\xB6\xD0\xB5\xD0\xBD\xD0\xB8\xD0\xB5",
     "\xD0\xBD\xD0\xB0\xD0\xBF\xD1\x80\xD1\x83\xD0\xB3\xD0\xB0",
     "jannite",
     "spaending",
     "spenning",
     "gerilim",
     "feszultseg",
     "tensiune",
     "\xEC\xA0\x84\xEC\x95\x95"});
constexpr auto kAmpsWords =
    std::to_array<std::string_view>({"current",
                                     "curr",
                                     "amp",
                                     "amps",
                                     "ampere",
                                     "amperes",
                                     "amperage",
                                     "strom",
                                     "courant",
                                     "intensite",
                                     "corriente",
                                     "intensidad",
                                     "corrente",
                                     "stroom",
                                     "prad",
                                     "natezenie",
                                     "proud",
                                     "iout",
                                     "imeas",
                                     "i",
                                     "imon",
                                     "\xE7\x94\xB5\xE6\xB5\x81",
                                     "\xE9\x9B\xBB\xE6\xB5\x81",
                                     "milliamps",
                                     "\xD1\x82\xD0\xBE\xD0\xBA",
                                     "\xD1\x81\xD1\x82\xD1\x80\xD1\x83\xD0\xBC",
                                     "virta",
                                     "akim",
                                     "aram",
                                     "curent",
                                     "\xEC\xA0\x84\xEB\xA5\x98"});
constexpr auto kWattsWords = std::to_array<std::string_view>(
    {"power",
     "watt",
     "watts",
     "leistung",
     "puissance",
     "potencia",
     "potenza",
     "vermogen",
     "moc",
     "vykon",
     "effekt",
     "pout",
     "p",
     "w",
     "\xE5\x8A\x9F\xE7\x8E\x87",
     "\xE9\x9B\xBB\xE5\x8A\x9B",
     "milliwatts",
     "\xD0\xBC\xD0\xBE\xD1\x89\xD0\xBD\xD0\xBE\xD1\x81\xD1\x82\xD1\x8C",
     "\xD0\xBF\xD0\xBE\xD1\x82\xD1\x83\xD0\xB6\xD0\xBD\xD1\x96\xD1\x81\xD1\x82\xD1\x8C",
     "teho",
     "guc",
     "teljesitmeny",
     "putere",
     "\xEC\xA0\x84\xEB\xA0\xA5"});
constexpr auto kOutputWords = std::to_array<std::string_view>({"output",
                                                               "ausgang",
                                                               "sortie",
                                                               "salida",
                                                               "uscita",
                                                               "uitgang",
                                                               "wyjscie",
                                                               "vystup",
                                                               "utgang",
                                                               "saida",
                                                               "enable",
                                                               "enabled",
                                                               "onoff",
                                                               "on",
                                                               "\xE8\xBE\x93\xE5\x87\xBA"});
constexpr auto kSetWords =
    std::to_array<std::string_view>({"set",
                                     "setpoint",
                                     "setting",
                                     "soll",
                                     "sollwert",
                                     "consigne",
                                     "consigna",
                                     "nominal",
                                     "preset",
                                     "limit",
                                     "limite",
                                     "grenze",
                                     "ziel",
                                     "target",
                                     "impostata",
                                     "impostato",
                                     "ingesteld",
                                     "zadany",
                                     "zadana",
                                     "zadane",
                                     "nastaveny",
                                     "nastavene",
                                     "borvarde",
                                     "ajuste",
                                     "programmed",
                                     "lim",
                                     "begrenzung",
                                     "iset",
                                     "vset",
                                     "uset",
                                     "ustawiony",
                                     "ustawione",
                                     "\xD1\x83\xD1\x81\xD1\x82\xD0\xB0\xD0\xB2\xD0\xBA\xD0\xB0",
                                     "\xD0\xB7\xD0\xB0\xD0\xB4\xD0\xB0\xD0\xBD\xD0\xB8\xD0\xB5"});
constexpr auto kRealWords = std::to_array<std::string_view>(
    {"meas",    "measured", "measure",  "ist",     "istwert",   "mesure",    "mesuree", "medido",
     "medida",  "misurata", "misurato", "gemeten", "zmierzony", "zmierzone", "mereny",  "merene",
     "uppmatt", "actual",   "readback", "monitor", "act",       "arvarde"});
// Columns of other things that have a volt or an ampere in their names.
constexpr auto kOtherWords = std::to_array<std::string_view>(
    {"ovp",        "ocp",         "opp",    "protection", "energy",  "charge",    "capacity",
     "resistance", "temperature", "temp",   "ripple",     "energie", "kapazitat", "widerstand",
     "temperatur", "index",       "sample", "mode",       "max",     "alarm"});
constexpr auto kChannelWords = std::to_array<std::string_view>({"ch",
                                                                "channel",
                                                                "chan",
                                                                "kanal",
                                                                "voie",
                                                                "canal",
                                                                "canale",
                                                                "kanaal",
                                                                "channels",
                                                                "out",
                                                                "output",
                                                                "ausgang"});
// Long words that make others with what stands before or after them.
struct Stem {
  std::string_view text;
  LogQuantity quantity;
};
constexpr std::array<Stem, 16> kStems = {
    {{"spannung", LogQuantity::kVolts},
     {"spanning", LogQuantity::kVolts},
     {"voltage", LogQuantity::kVolts},
     {"strom", LogQuantity::kAmps},
     {"current", LogQuantity::kAmps},
     {"leistung", LogQuantity::kWatts},
     {"vermogen", LogQuantity::kWatts},
     {"zeit", LogQuantity::kTime},
     {"timestamp", LogQuantity::kTime},
     {"\xE6\x99\x82\xE9\x96\x93", LogQuantity::kTime},
     {"\xE6\x97\xB6\xE9\x97\xB4", LogQuantity::kTime},
     {"\xE9\x9B\xBB\xE5\x9C\xA7", LogQuantity::kVolts},
     {"\xE7\x94\xB5\xE5\x8E\x8B", LogQuantity::kVolts},
     {"\xE9\x9B\xBB\xE6\xB5\x81", LogQuantity::kAmps},
     {"\xE7\x94\xB5\xE6\xB5\x81", LogQuantity::kAmps},
     {"\xD0\xBD\xD0\xB0\xD0\xBF\xD1\x80\xD1\x8F\xD0\xB6", LogQuantity::kVolts}}};

using GroupsByWord = std::unordered_map<std::string_view, unsigned>;

GroupsByWord MakeGroups() {
  GroupsByWord groups;
  const auto add = [&](std::span<const std::string_view> words, Group group) {
    for (const std::string_view word : words) groups[word] |= group;
  };
  add(kTimeWords, kTime);
  add(kDateWords, kDate);
  add(kVoltsWords, kVolts);
  add(kAmpsWords, kAmps);
  add(kWattsWords, kWatts);
  add(kOutputWords, kOutput);
  add(kSetWords, kSet);
  add(kRealWords, kReal);
  add(kOtherWords, kOther);
  add(kChannelWords, kChannel);
  return groups;
}

// All groups of a word in one step: each cell of a table is asked.
unsigned GroupsOf(std::string_view word) {
  static const GroupsByWord kGroups = MakeGroups();
  const auto found = kGroups.find(word);
  return found == kGroups.end() ? 0 : found->second;
}

bool Has(Group group, std::string_view word) { return (GroupsOf(word) & group) != 0; }

LogQuantity OfWord(const std::string& word) {
  const unsigned groups = GroupsOf(word);
  if (groups & kAmps) return LogQuantity::kAmps;
  if (groups & kVolts) return LogQuantity::kVolts;
  if (groups & kWatts) return LogQuantity::kWatts;
  if (groups & kTime) return LogQuantity::kTime;
  if (groups & kDate) return LogQuantity::kDate;
  for (const Stem& stem : kStems) {
    if (word.find(stem.text) != std::string::npos) return stem.quantity;
  }
  return LogQuantity::kNone;
}

std::optional<LogQuantity> OfUnit(const Unit& unit) {
  switch (unit.dimension) {
    case Dimension::kTime:
      return LogQuantity::kTime;
    case Dimension::kVolts:
      return LogQuantity::kVolts;
    case Dimension::kAmps:
      return LogQuantity::kAmps;
    case Dimension::kWatts:
      return LogQuantity::kWatts;
    case Dimension::kLength:
    case Dimension::kCharge:
    case Dimension::kOther:
      break;
  }
  return std::nullopt;
}

bool IsNumber(const std::string& word) {
  return !word.empty() && word.find_first_not_of("0123456789") == std::string::npos;
}

std::string ChannelOf(const std::vector<std::string>& words) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (IsNumber(words[i])) return words[i];
    const bool letter = i > 0 && words[i].size() == 1 && Has(kChannel, words[i - 1]);
    if (letter && words[i][0] <= 'd') return words[i];
  }
  return {};
}

// The words alone; kNone where they contradict each other or speak of something else.
LogQuantity OfWords(const std::vector<std::string>& words) {
  LogQuantity found = LogQuantity::kNone;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (Has(kOther, words[i])) return LogQuantity::kNone;
    // The letter of a channel is no quantity.
    if (i > 0 && words[i].size() == 1 && Has(kChannel, words[i - 1]) && words[i] == "a") continue;
    const LogQuantity one = OfWord(words[i]);
    const bool longer = words[i].size() > 1;
    if (one != LogQuantity::kNone && (found == LogQuantity::kNone || longer)) {
      // "Date and time": a time with its date.
      found = one == LogQuantity::kDate && found == LogQuantity::kTime ? found : one;
    }
  }
  return found;
}

}  // namespace

LogMeaning ReadLogHeader(std::string_view cell, std::string_view unit_cell) {
  const HeaderCell header = ReadHeaderCell(cell);
  LogMeaning meaning;
  meaning.unit = header.unit;
  if (const auto unit = ParseUnit(unit_cell)) meaning.unit = unit;
  unsigned groups = 0;
  for (const std::string& word : header.words) groups |= GroupsOf(word);
  const auto any = [&](Group group) { return (groups & group) != 0; };
  meaning.is_set =
      any(kSet) || std::any_of(header.words.begin(), header.words.end(), [](const auto& word) {
        return word.starts_with("soll") || word.starts_with("grenz");
      });
  meaning.is_real =
      any(kReal) || std::any_of(header.words.begin(), header.words.end(), [](const auto& word) {
        return word.starts_with("ist") || word.starts_with("mess");
      });
  meaning.channel = ChannelOf(header.words);
  if (any(kOther)) return meaning;
  meaning.quantity = OfWords(header.words);
  const auto by_unit = meaning.unit ? OfUnit(*meaning.unit) : std::nullopt;
  if (meaning.unit && !by_unit) {
    meaning.quantity = LogQuantity::kNone;  // Charge, energy, degrees.
  } else if (meaning.quantity == LogQuantity::kNone && by_unit) {
    const bool letter_of_channel =
        meaning.unit->name == "A" && !header.words.empty() && Has(kChannel, header.words.back()) &&
        cell.find_first_of("([{/") == std::string_view::npos && unit_cell.empty();
    if (!letter_of_channel) meaning.quantity = *by_unit;
  } else if (by_unit && *by_unit != meaning.quantity) {
    meaning.quantity = LogQuantity::kNone;  // A current in volts is no current yet.
  }
  if (meaning.quantity == LogQuantity::kNone && !meaning.unit && any(kOutput)) {
    meaning.quantity = LogQuantity::kOutput;
  }
  return meaning;
}

bool KnowsLogHeader(std::string_view cell) {
  return ReadLogHeader(cell, {}).quantity != LogQuantity::kNone;
}

std::string QuantityName(LogQuantity quantity) {
  switch (quantity) {
    case LogQuantity::kTime:
      return "time";
    case LogQuantity::kDate:
      return "date";
    case LogQuantity::kVolts:
      return "volts";
    case LogQuantity::kAmps:
      return "amps";
    case LogQuantity::kWatts:
      return "watts";
    case LogQuantity::kOutput:
      return "output";
    case LogQuantity::kNone:
      break;
  }
  return "nothing";
}

}  // namespace ohmglow
