// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/carriers.h"

#include <gtest/gtest.h>

namespace ohmglow {
namespace {

Part Named(const char* ref, const char* kind = "") {
  Part part;
  part.ref = ref;
  part.kind = kind;
  return part;
}

TEST(CarriesCurrent, GoesByTheKindAndElseByTheReference) {
  for (const Part& part : {Named("L1"),
                           Named("fb12"),
                           Named("F2"),
                           Named("J3"),
                           Named("P1"),
                           Named("CN7"),
                           Named("U1", "Inductor"),
                           Named("D5", "FB"),
                           Named("X", "connector 2x5")}) {
    EXPECT_TRUE(CarriesCurrent(part)) << part.ref;
  }
  // The kind has the last word, and a letter is no beginning of another.
  for (const Part& part : {Named("C1"),
                           Named("U4"),
                           Named("Q2"),
                           Named("PS1"),
                           Named("LED1"),
                           Named(""),
                           Named("L1", "capacitor")}) {
    EXPECT_FALSE(CarriesCurrent(part)) << part.ref;
  }
}

TEST(CarrierProb, SumsOverTheCarriersThere) {
  PartsThere there;
  there.parts = {{"C1", 0.5}, {"L1", 0.2}, {"FB2", 0.1}, {"L9", 0.1}};
  EXPECT_NEAR(CarrierProb({Named("C1"), Named("L1"), Named("FB2")}, there), 0.3, 1e-12);
  EXPECT_EQ(CarrierProb({}, there), 0);
}

}  // namespace
}  // namespace ohmglow
