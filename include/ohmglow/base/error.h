// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <stdexcept>
#include <string>

namespace ohmglow {

/// Base of everything the library throws on purpose. The message is one line
/// that says what is wrong, where (file, row, column, page or option), and
/// what to do about it.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// A parameter outside its documented range; names field, value and rule.
class OptionError : public Error {
 public:
  using Error::Error;
};

/// A file that is missing, malformed or contradicts another one.
class InputError : public Error {
 public:
  using Error::Error;
};

/// Well-formed measurements that are unfit for the method.
class DataError : public Error {
 public:
  using Error::Error;
};

/// A result that could not be written.
class OutputError : public Error {
 public:
  using Error::Error;
};

}  // namespace ohmglow
