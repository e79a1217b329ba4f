// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/weights.h"

#include <stdexcept>
#include <string>

namespace ohmglow {

double WeightOf(std::string_view name) {
  for (const EvidenceWeight& row : kEvidenceWeights) {
    if (row.name == name) return row.weight;
  }
  throw std::out_of_range("no weight for the evidence '" + std::string(name) + "'");
}

}  // namespace ohmglow
