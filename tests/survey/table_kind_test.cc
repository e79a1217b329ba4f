// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "survey/table_kind.h"

#include <gtest/gtest.h>

#include <string>

namespace ohmglow {
namespace {

struct Sample {
  const char* bytes;
  TableKind kind;
};

// Each as somebody's program writes it; invented numbers.
const Sample kSamples[] = {
    {"time_s,volts,amps\n0,0,0\n0.5,0.1,0.2\n1,0.1,0.2\n1.5,0.1,0.2\n", TableKind::kLog},
    {"Zeit;Spannung (V);Strom (mA)\n0,0;0,00;0,0\n0,5;0,10;250,0\n1,0;0,10;250,0\n",
     TableKind::kLog},
    {"Supply export\n\nTime\tVoltage / V\tCurrent / A\n0\t0\t0\n1\t0.1\t0.5\n2\t0.1\t0.5\n",
     TableKind::kLog},
    {"time_s,amps\n0,0\n6,0.5\n12,0\n18,0.5\n", TableKind::kLog},  // By whose watch?
    {"n,amps\n1,0\n2,0.5\n3,0\n4,0.5\n", TableKind::kSteps},
    {"n,amps\n1,0.001\n2,0.000\n3,0.001\n4,0.502\n5,0.501\n6,0.502\n", TableKind::kLog},
    {"time_s,amps,within_s\n0,0,1\n6,0.5,1\n", TableKind::kSteps},
    {"time_s,amps\n0,0\n1,0\n2,0.5\n3,0.5\n", TableKind::kLog},
    {"index,time_s\n0,0\n1,0.125\n2,0.25\n", TableKind::kTimes},
    {"frame_x,frame_y,photo_x,photo_y\n1,2,3,4\n5,6,7,8\n", TableKind::kPoints},
    {"frame_x,frame_y,name\n1,2,plus\n", TableKind::kContacts},
    {"frame_x,frame_y,width_px,height_px,emissivity,name\n1,2,3,4,0.3,can\n", TableKind::kSurface},
    {"x_mm,y_mm,width_mm,height_mm,emissivity\n1,2,3,4,0.3\n", TableKind::kSurface},
    {"ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,1,0.5,top\nU3,4,5,3,3,top\n",
     TableKind::kParts},
    {"Designator;Mid X;Mid Y;Layer\nC1;1,25;2,5;T\nR12;4,0;5,5;T\nU3;7,1;8,2;B\n",
     TableKind::kParts},
    {"Designator\tMid X\tMid Y\tLayer\tPackage\nC1\t1.25\t2.5\tT\tC_0402\n"
     "R12\t4.0\t5.5\tT\tR_0402\nU3\t7.1\t8.2\tB\tSO8\n",
     TableKind::kParts},
    {"Part name\tCentre X (mm)\tCentre Y (mm)\tBoard side\nC1\t1.25\t2.5\ttop\n"
     "R12\t4.0\t5.5\ttop\nU3\t7.1\t8.2\ttop\n",
     TableKind::kParts},
    {"Designator,Quantity,Value\n\"C1, C2\",2,100n\nR12,1,10k\n", TableKind::kNone},
    {"Hello,\nthis is what we did on Monday.\n", TableKind::kNone},
    {"", TableKind::kNone},
};

TEST(GuessTable, TellsTablesApartByWhatIsInThem) {
  for (const Sample& sample : kSamples) {
    EXPECT_EQ(GuessTable(sample.bytes).kind, sample.kind) << sample.bytes;
  }
}

TEST(GuessTable, KnowsAPictureOfNumbers) {
  std::string bytes;
  for (int y = 0; y < 30; ++y) {
    for (int x = 0; x < 40; ++x)
      bytes.append(x > 0 ? ";" : "").append(std::to_string(20 + x % 3)).append(",5");
    bytes += "\n";
  }
  EXPECT_EQ(GuessTable(bytes).kind, TableKind::kFrames);
}

TEST(GuessTable, TakesAWordOfALogInASentenceForNoLog) {
  EXPECT_EQ(
      GuessTable("Board 7, second try. Rail shorted.\nLeads on the left, 0,5 A steps.\n").kind,
      TableKind::kNone);
  EXPECT_EQ(GuessTable("what, current\nfirst, as it was\nsecond, more\nthird, none\n").kind,
            TableKind::kNone);
  EXPECT_EQ(GuessTable("time,current\n0.1 s,0.0 A\n0.6 s,0.5 A\n1.1 s,0.5 A\n").kind,
            TableKind::kLog);
}

TEST(GuessTable, AnswersAnyBytes) {
  std::string bytes;
  unsigned state = 7;
  for (int i = 0; i < 20000; ++i) {
    state = state * 1664525U + 1013904223U;
    bytes += static_cast<char>(state >> 24U);
  }
  for (std::size_t length = 0; length < bytes.size(); length += 997) {
    (void)GuessTable(std::string_view(bytes).substr(length));
  }
}

}  // namespace
}  // namespace ohmglow
