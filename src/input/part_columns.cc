// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "part_columns.h"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

using enum PartQuantity;

constexpr double kMostly = 0.6;

constexpr std::array<std::pair<std::string_view, PartQuantity>, 9> kRoles{{{"ref", kRef},
                                                                           {"x", kX},
                                                                           {"y", kY},
                                                                           {"side", kSide},
                                                                           {"turn", kRotation},
                                                                           {"package", kPackage},
                                                                           {"width", kWidth},
                                                                           {"height", kHeight},
                                                                           {"length", kLength}}};

[[noreturn]] void FailStated(const LooseTable& table, const std::string& what) {
  throw InputError(
      table.name + ": board.parts_columns " + what +
      "; write it like ref=1, x=3, y=4, side=5, turn=6, package=2 (or width, height, length) "
      "by names or numbers of: " +
      table.ColumnNames());
}

void TakeStated(const LooseTable& table,
                std::string_view part,
                std::vector<PartMeaning>& meanings) {
  const std::size_t equals = part.find('=');
  const std::string role = ToLower(Trim(part.substr(0, equals)));
  const auto* const known = std::find_if(
      kRoles.begin(), kRoles.end(), [&](const auto& entry) { return entry.first == role; });
  if (equals == std::string_view::npos || known == kRoles.end()) {
    FailStated(table, "has " + Quoted(part));
  }
  const std::string_view name = Trim(part.substr(equals + 1));
  const auto column = FindColumn(table, name);
  if (!column) FailStated(table, "names " + Quoted(name) + ", which is no column");
  for (PartMeaning& meaning : meanings) {
    if (meaning.quantity == known->second) meaning.quantity = kNone;
  }
  meanings[*column].quantity = known->second;
}

bool Has(const std::vector<PartMeaning>& meanings, PartQuantity quantity) {
  return std::any_of(meanings.begin(), meanings.end(), [&](const PartMeaning& meaning) {
    return meaning.quantity == quantity;
  });
}

// Mostly names of parts, and none twice: values repeat.
bool HoldsRefs(const LooseTable& table, std::size_t column) {
  std::set<std::string_view> seen;
  std::size_t refs = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string_view cell = table.Cell(row, column);
    if (!cell.empty() && !seen.insert(cell).second) return false;
    refs += LooksLikeRef(cell) ? 1 : 0;
  }
  return static_cast<double>(refs) > kMostly * static_cast<double>(table.rows.size());
}

void FindRefs(const LooseTable& table, PartColumns& out) {
  if (Has(out.meanings, kRef)) return;
  std::vector<std::size_t> fitting;
  for (std::size_t c = 0; c < out.meanings.size(); ++c) {
    if (out.meanings[c].quantity == kNone && HoldsRefs(table, c)) fitting.push_back(c);
  }
  if (fitting.size() != 1) return;
  out.meanings[fitting[0]].quantity = kRef;
  out.guesses.push_back("the references are taken from the column " + table.ColumnName(fitting[0]));
}

}  // namespace

PartColumns ChoosePartColumns(const LooseTable& table, const std::optional<std::string>& stated) {
  PartColumns out;
  for (std::size_t c = 0; c < table.columns(); ++c) {
    const std::string_view unit = c < table.units.size() ? table.units[c] : std::string_view();
    out.meanings.push_back(c < table.header.size() ? ReadPartHeader(table.header[c], unit)
                                                   : PartMeaning());
  }
  for (std::size_t begin = 0; stated && begin < stated->size();) {
    const std::size_t end = std::min(stated->find(',', begin), stated->size());
    TakeStated(table, Trim(std::string_view(*stated).substr(begin, end - begin)), out.meanings);
    begin = end + 1;
  }
  FindRefs(table, out);
  return out;
}

std::string ExampleOfPartColumns(const LooseTable& table,
                                 const std::vector<PartMeaning>& meanings) {
  std::string text;
  std::size_t next = 0;
  for (const auto& [role, quantity] : {kRoles[0], kRoles[1], kRoles[2]}) {
    std::size_t column = 0;
    while (column < meanings.size() && meanings[column].quantity != quantity) ++column;
    // Any that has no meaning yet shows how it is written.
    if (column == meanings.size()) {
      while (next < meanings.size() && meanings[next].quantity != kNone) ++next;
      column = std::min(next++, meanings.size() - 1);
    }
    text += (text.empty() ? "" : ", ") + std::string(role) + "=" + table.ColumnName(column);
  }
  return text;
}

std::string WrittenPartColumns(const LooseTable& table,
                               const std::vector<std::size_t>& used,
                               const std::vector<PartMeaning>& meanings) {
  std::string text;
  for (const std::size_t column : used) {
    const auto* const role = std::find_if(kRoles.begin(), kRoles.end(), [&](const auto& entry) {
      return entry.second == meanings[column].quantity;
    });
    if (role == kRoles.end()) continue;
    // A name that this notation would cut stands as its number.
    std::string name = table.ColumnName(column);
    if (name.find_first_of(",;#=\"'") != std::string::npos) name = std::to_string(column + 1);
    text += (text.empty() ? "" : ", ") + std::string(role->first) + "=" + name;
  }
  return text;
}

}  // namespace ohmglow
