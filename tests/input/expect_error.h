// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <typeinfo>
#include <vector>

namespace ohmglow::testing {

/// Expects `action` to throw exactly an `E` whose message is one line that
/// holds every part.
template <typename E, typename Action>
void ExpectError(const Action& action, const std::vector<std::string>& parts) {
  try {
    action();
  } catch (const E& error) {
    EXPECT_EQ(typeid(error), typeid(E));
    const std::string message = error.what();
    EXPECT_EQ(message.find('\n'), std::string::npos) << message;
    for (const std::string& part : parts) {
      EXPECT_NE(message.find(part), std::string::npos) << "'" << part << "' is not in: " << message;
    }
    return;
  }
  ADD_FAILURE() << "nothing was thrown; expected a message with " << parts.front();
}

}  // namespace ohmglow::testing
