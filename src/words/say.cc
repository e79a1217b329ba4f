// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/words/say.h"

#include <algorithm>
#include <string_view>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say_clauses.h"
#include "words/numbers.h"

namespace ohmglow {
namespace {

std::string ListOf(const std::vector<Remark>& said, std::string_view form, const Words& words) {
  if (form == "in_short") {
    std::vector<std::string> items;
    for (const Remark& one : said) items.push_back(SayInShort(one, words));
    return internal::ListText(items, words);
  }
  const std::vector<std::string> items = SayAll(said, words);
  if (form == "commas") return internal::ListText(items, words, "list.comma", "list.comma");
  if (form == "semicolons") return internal::ListText(items, words, "list.semicolon");
  return internal::ListText(items, words);
}

// What stands for a {name} or {name:form}; it stays as it is where the remark has none.
std::string Filled(const Remark& remark, const std::string& wanted, const Words& words) {
  const std::size_t colon = wanted.find(':');
  const std::string name = wanted.substr(0, colon);
  const std::string form = colon == std::string::npos ? "" : wanted.substr(colon + 1);
  const auto value = std::find_if(remark.values.begin(),
                                  remark.values.end(),
                                  [&](const RemarkValue& one) { return one.name == name; });
  if (value == remark.values.end()) return "{" + wanted + "}";
  return value->said.empty() ? internal::FormNumber(value->number, form, words)
                             : ListOf(value->said, form, words);
}

std::string SayBy(const std::string& key, const Remark& remark, const Words& words) {
  const std::vector<std::string> names = words.Names(key);
  Words::Values values;
  for (const std::string& name : names) values.emplace_back(name, Filled(remark, name, words));
  return words.Fill(key, values);
}

// With ".one" where there is one of what is counted.
std::string ByCount(const std::string& key, const Remark& remark, const Words& words) {
  const bool one = remark.Number("count") == 1 && words.Has(key + ".one");
  return one ? key + ".one" : key;
}

std::string CatalogueKey(const Remark& remark) {
  return "remark." + std::string(KeyOf(remark.kind));
}

}  // namespace

std::string Say(const Remark& remark, const Words& words) {
  if (remark.kind == RemarkKind::kQuoted) return remark.text;
  return SayBy(ByCount(CatalogueKey(remark), remark, words), remark, words);
}

std::string SayInShort(const Remark& remark, const Words& words) {
  const std::string key = CatalogueKey(remark) + ".short";
  return words.Has(key) ? SayBy(key, remark, words) : Say(remark, words);
}

std::vector<std::string> SayAll(const std::vector<Remark>& remarks, const Words& words) {
  std::vector<std::string> sentences;
  for (const Remark& remark : remarks) sentences.push_back(Say(remark, words));
  return sentences;
}

std::string SayClauses(const std::vector<Clause>& clauses, const Words& words) {
  std::string said;
  for (const Clause& clause : clauses) {
    const Remark values = Remark(clause.values).With("start", said);
    said = SayBy(ByCount(clause.key, values, words), values, words);
  }
  return said;
}

}  // namespace ohmglow
